"""What a medium's TOML file may hold, checked key by key. Units stand in the keys."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from itertools import pairwise
from typing import Any

from stillroom.errors import InputError, Problem
from stillroom.media.activity import BUTANE, TETRACHLORIDE, from_activity
from stillroom.media.impregnants import FAMILIES, REFERENCE_MOLAR_MASS
from stillroom.media.model import Impregnation, Interval, Medium, WaterUptake

__all__ = ["check"]

# key in the file -> field of Medium, factor to its unit, least and largest sensible value in the file's unit
_INTERVALS: dict[str, tuple[str, float, float, float]] = {
    "micropore_volume_cm3_g": ("micropore_volume", 1.0, 0.01, 2.0),
    "characteristic_energy_kJ_mol": ("characteristic_energy", 1.0, 5.0, 40.0),
    "bulk_density_kg_m3": ("bulk_density", 1.0, 100.0, 1500.0),
    "grain_diameter_mm": ("grain_diameter", 1e-3, 0.05, 10.0),
}
_VOLUMES = ("micropore_volume_cm3_g", "ctc_activity_percent", "butane_activity_percent")
"""Keys of which one tells the pore volume."""


@cache
def _file_model() -> type[Any]:
    """The pydantic model of a file, made when first needed: pydantic is slow to import."""
    from pydantic import BaseModel, ConfigDict, Field, field_validator, model_validator

    class Points(BaseModel):
        model_config = ConfigDict(extra="forbid", strict=False, allow_inf_nan=False)
        p05: float = Field(gt=0)
        p50: float = Field(gt=0)
        p95: float = Field(gt=0)
        source: str = "user"
        note: str = ""

        @model_validator(mode="after")
        def _ordered(self) -> Points:
            if not self.p05 <= self.p50 <= self.p95:
                raise ValueError("p05, p50 and p95 must not fall")
            return self

        @field_validator("source")
        @classmethod
        def _known(cls, value: str) -> str:
            from stillroom.sources import bibliography

            if value not in bibliography():
                raise ValueError("the source is no key of the bibliography; leave it out and tell it in note")
            return value

    class Impregnated(BaseModel):
        model_config = ConfigDict(extra="forbid")
        family: str
        reference_cas: str
        capacity_g_g: Points
        conditions: str = ""
        at_humidity: list[tuple[float, float]] = Field(default_factory=list, max_length=20)

        @field_validator("at_humidity")
        @classmethod
        def _rising(cls, value: list[tuple[float, float]]) -> list[tuple[float, float]]:
            humidities = [humidity for humidity, _ in value]
            inside = all(0 <= humidity <= 1 and 0 <= factor <= 10 for humidity, factor in value)
            if not inside or any(b <= a for a, b in pairwise(humidities)):
                raise ValueError(
                    "write [[relative humidity, factor], …]: humidities rise from 0 to 1, factors 0 to 10"
                )
            return value

        @field_validator("family")
        @classmethod
        def _family(cls, value: str) -> str:
            if value not in FAMILIES:
                raise ValueError(f"use one of {', '.join(FAMILIES)}")
            return value

        @field_validator("reference_cas")
        @classmethod
        def _reference(cls, value: str) -> str:
            if value not in REFERENCE_MOLAR_MASS:
                raise ValueError(f"use one of {', '.join(REFERENCE_MOLAR_MASS)}")
            return value

    class Uptake(BaseModel):
        model_config = ConfigDict(extra="forbid", allow_inf_nan=False)
        relative_humidity: float = Field(gt=0, le=1)
        g_g: float = Field(gt=0, le=2)

    class File(BaseModel):
        model_config = ConfigDict(extra="forbid", allow_inf_nan=False)
        name: str = Field(min_length=1)
        title: str = Field(min_length=1)
        version: str = "1"
        source: str = "user"
        note: str = ""
        void_fraction: float = Field(default=0.4, gt=0.2, lt=0.7)
        impregnation: list[Impregnated] = Field(default_factory=list)
        water_uptake: list[Uptake] = Field(default_factory=list, max_length=20)
        micropore_volume_cm3_g: Points | None = None
        ctc_activity_percent: float | None = Field(default=None, ge=10, le=150)
        butane_activity_percent: float | None = Field(default=None, ge=4, le=60)
        characteristic_energy_kJ_mol: Points
        bulk_density_kg_m3: Points
        grain_diameter_mm: Points
        fit: dict[str, Any] | None = None  # read by media.fitting

        @field_validator("water_uptake")
        @classmethod
        def _rising(cls, value: list[Uptake]) -> list[Uptake]:
            ordered = sorted(value, key=lambda one: one.relative_humidity)
            for lower, upper in pairwise(ordered):
                if lower.relative_humidity == upper.relative_humidity or lower.g_g > upper.g_g:
                    raise ValueError(
                        "the uptake must rise with relative humidity, and each humidity stand once"
                    )
            return value

    # Annotations are text here and name local classes: tell pydantic where they stand.
    for model in (Impregnated, File):
        model.model_rebuild(
            _types_namespace={"Points": Points, "Impregnated": Impregnated, "Uptake": Uptake, "Any": Any}
        )
    return File


def _interval(points: Any, factor: float) -> Interval:
    return Interval(points.p05 * factor, points.p50 * factor, points.p95 * factor, points.source, points.note)


def _volume_told(fields: Mapping[str, Any], file: str) -> list[Problem]:
    """What is wrong where not just one key tells the pore volume."""
    told = [key for key in _VOLUMES if key in fields]
    if len(told) == 1:
        return []
    what = f"give one of {', '.join(_VOLUMES)}"
    return [Problem(what, _mend("missing"), file=file, column=_VOLUMES[0], found=", ".join(told))]


def _by_activity(read: Any) -> Interval:
    if read.ctc_activity_percent is not None:
        return from_activity(read.ctc_activity_percent, TETRACHLORIDE)
    return from_activity(read.butane_activity_percent, BUTANE)


def _mend(kind: str) -> str:
    if kind == "missing":
        return "Add it; docs/reference/media.md shows a whole file."
    if kind == "extra_forbidden":
        return "Take it out, or mend its spelling; docs/reference/media.md lists the keys."
    return "Mend the value; docs/reference/media.md gives each key's unit and range."


def check(fields: Mapping[str, Any], *, file: str) -> Medium:
    """A medium from the parsed file.

    Raises
    ------
    InputError
        With every fault: file, key, what was found, and the mend.
    """
    from pydantic import ValidationError

    problems = _volume_told(fields, file)
    read = None
    try:
        read = _file_model().model_validate(fields)
    except ValidationError as error:
        problems += [
            Problem(
                item["msg"].removeprefix("Value error, "),
                _mend(item["type"]),
                file=file,
                column=".".join(str(part) for part in item["loc"]),
                found="" if item["type"] == "missing" else str(item["input"])[:60],
            )
            for item in error.errors()
        ]
    if problems or read is None:
        raise InputError(problems)
    intervals = {}
    for key, (field, factor, least, most) in _INTERVALS.items():
        points = getattr(read, key)
        if points is None:  # the volume, told by a test of activity
            intervals[field] = _by_activity(read)
            continue
        if points.p05 < least or points.p95 > most:
            problems.append(
                Problem(
                    f"outside {least:g} to {most:g}: is the unit the one in the key?",
                    _mend(""),
                    file=file,
                    column=key,
                    found=f"{points.p05:g} … {points.p95:g}",
                )
            )
        intervals[field] = _interval(points, factor)
    if problems:
        raise InputError(problems)
    impregnations = tuple(
        Impregnation(
            item.family,
            item.reference_cas,
            _interval(item.capacity_g_g, 1.0),
            item.conditions,
            tuple(item.at_humidity),
        )
        for item in read.impregnation
    )
    return Medium(
        name=read.name,
        title=read.title,
        void_fraction=read.void_fraction,
        impregnations=impregnations,
        water_uptake=tuple(WaterUptake(one.relative_humidity, one.g_g) for one in read.water_uptake),
        source=read.source,
        version=read.version,
        note=read.note,
        **intervals,
    )
