"""Published sets, read where they lie."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from stillroom.media.fitting import Points, read_points

__all__ = ["Point", "carbons", "mixtures", "points_of", "rows_of"]


@dataclass(frozen=True, slots=True)
class Point:
    """One measured loading of one vapour."""

    cas: str
    name: str
    temperature: float
    pressure: float
    loading: float
    tier: str
    """A printed table, B digitised figure, C origin not confirmed"""
    source: str
    """authors, year, journal and doi"""


def carbons(folder: Path) -> dict[str, list[Point]]:
    """Measured points by carbon; a carbon of no name of its own goes by its paper."""
    found: dict[str, list[Point]] = {}
    for row in rows_of(folder / "isotherms_on_carbon.csv"):
        name = row["adsorbent"]
        if name in ("Activated Carbon", "Carbon", "Charcoal"):
            name = f"{name} ({row['source'].split(' et al.')[0].split(',')[0].split()[-1]})"
        point = Point(
            row["cas"],
            row["adsorbate"],
            float(row["temperature_K"]),
            float(row["partial_pressure_Pa"]),
            float(row["loading_g_per_g"]),
            row["tier"],
            _paper(row["source"]),
        )
        if point.pressure > 0.0 and point.loading > 0.0:
            found.setdefault(name.removeprefix("Activated carbon: "), []).append(point)
    return found


def points_of(rows: list[Point]) -> Points:
    """As the fit takes them."""
    lines = ["cas,temperature_K,partial_pressure_Pa,loading_g_per_g"]
    lines += [f"{one.cas},{one.temperature!r},{one.pressure!r},{one.loading!r}" for one in rows]
    return read_points("\n".join(lines))[0]


def mixtures(folder: Path) -> Iterator[tuple[str, float, list[tuple[str, str, float, float]]]]:
    """Carbon, temperature, and of each of two: CAS number, name, pressure, loading."""
    for row in rows_of(folder / "mixtures_on_carbon.csv"):
        parts = [
            (row[f"cas{k}"], row[f"comp{k}"], float(row[f"p{k}_Pa"]), float(row[f"q{k}_g_per_g"]))
            for k in (1, 2)
        ]
        if all(p > 0.0 and q > 0.0 for _, _, p, q in parts):
            yield row["adsorbent"].removeprefix("Activated carbon: "), float(row["temperature_K"]), parts


def _paper(source: str) -> str:
    """Authors, year, journal and doi of a source; figure and digitiser left out."""
    parts = source.split(";")
    work = ", ".join(part.strip() for part in parts[0].split(",")[:3])
    return f"{work}, {parts[1].strip().removeprefix('https://')}"


def rows_of(file: Path) -> list[dict[str, str]]:
    """A table as it was published."""
    with file.open(encoding="utf-8") as opened:
        return list(csv.DictReader(opened))
