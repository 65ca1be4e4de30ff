"""A medium as the TOML file that `load` reads."""

from __future__ import annotations

from collections.abc import Iterator

from stillroom.media.model import Impregnation, Interval, Medium

__all__ = ["dumps", "interval_lines", "quoted"]


def quoted(words: str) -> str:
    """A TOML string."""
    escaped = words.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + "".join(char if char.isprintable() else " " for char in escaped) + '"'


def interval_lines(interval: Interval, *, factor: float = 1.0) -> list[str]:
    """The keys of an interval, its points multiplied by `factor`.

    Parameters
    ----------
    interval : Interval
        In the medium's unit.
    factor : float
        To the file's unit [-].
    """
    return [
        f"p05 = {interval.p05 * factor:.6g}",
        f"p50 = {interval.p50 * factor:.6g}",
        f"p95 = {interval.p95 * factor:.6g}",
        *([f"source = {quoted(interval.source)}"] if interval.source else []),
        *([f"note = {quoted(interval.note)}"] if interval.note else []),
    ]


def dumps(medium: Medium) -> str:
    """The whole file; `load` gives the same medium back, to six digits."""
    lines = [
        f"name = {quoted(medium.name)}",
        f"title = {quoted(medium.title)}",
        f"version = {quoted(medium.version)}",
        *([f"source = {quoted(medium.source)}"] if medium.source else []),
        *([f"note = {quoted(medium.note)}"] if medium.note else []),
        f"void_fraction = {medium.void_fraction:g}",
    ]
    for key, interval, factor in (
        ("micropore_volume_cm3_g", medium.micropore_volume, 1.0),
        ("characteristic_energy_kJ_mol", medium.characteristic_energy, 1.0),
        ("bulk_density_kg_m3", medium.bulk_density, 1.0),
        ("grain_diameter_mm", medium.grain_diameter, 1e3),
    ):
        lines += ["", f"[{key}]", *interval_lines(interval, factor=factor)]
    for one in medium.water_uptake:
        lines += [
            "",
            "[[water_uptake]]",
            f"relative_humidity = {one.relative_humidity:g}",
            f"g_g = {one.loading:g}",
        ]
    for item in medium.impregnations:
        lines += _impregnation(item)
    return "\n".join(lines) + "\n"


def _impregnation(item: Impregnation) -> Iterator[str]:
    yield from ["", "[[impregnation]]", f"family = {quoted(item.family)}"]
    yield f"reference_cas = {quoted(item.reference_cas)}"
    if item.conditions:
        yield f"conditions = {quoted(item.conditions)}"
    if item.at_humidity:
        rows = ", ".join(f"[{humidity:g}, {factor:g}]" for humidity, factor in item.at_humidity)
        yield f"at_humidity = [{rows}]"
    yield from ["[impregnation.capacity_g_g]", *interval_lines(item.capacity)]
