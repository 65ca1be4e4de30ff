"""ROOM files: TOML to `Room`.

``stillroom.room.load`` is this module and can be called like `load_room`.
"""

from __future__ import annotations

import sys
from collections.abc import Mapping
from pathlib import Path
from types import ModuleType
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field

from stillroom.errors import InputError, Problem
from stillroom.room.model import Background, HandLimit, Room, SiteRules
from stillroom.substances.fields import Cas, cas_number
from stillroom.units import STANDARD_PRESSURE
from stillroom.units.files import check_fields, read_toml

__all__ = ["ASSUMED_BACKGROUND", "load_room", "parse_room"]

ASSUMED_BACKGROUND = Background(cas="108-88-3", mg_m3=0.3, uncertainty_factor=3.0, source="from-memory")
"""Total volatile organics of ordinary room air, counted as toluene: of the order of 0.3 mg/m³ (from memory)."""


def _humidity(given: Any) -> tuple[float, ...]:
    parts = given if isinstance(given, list) else [given]
    if not all(isinstance(part, int | float) and not isinstance(part, bool) for part in parts):
        raise ValueError("is neither a number nor a list of numbers")
    if len(parts) not in (1, 2, 12) or (isinstance(given, list) and len(parts) == 1):
        raise ValueError(f"is a list of {len(parts)}: a range has two numbers, a year has twelve")
    if not all(0.0 <= part <= 1.0 for part in parts):
        raise ValueError("is outside 0 to 1: relative humidity is a fraction, 50 % is 0.5")
    if len(parts) == 2 and parts[0] > parts[1]:
        raise ValueError("is a range whose first number is the larger")
    return tuple(float(part) for part in parts)


Positive = Annotated[float, Field(gt=0, allow_inf_nan=False)]
Fraction = Annotated[float, Field(gt=0, le=1, allow_inf_nan=False)]


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", strict=True)


class _RoomTable(_Strict):
    name: Annotated[str, Field(min_length=1, max_length=200)]
    volume_m3: Annotated[float, Field(gt=1, le=100_000, allow_inf_nan=False)]
    air_changes_per_h: Annotated[float, Field(gt=0, le=200, allow_inf_nan=False)]
    temperature_C: Annotated[float, Field(ge=-10, le=50, allow_inf_nan=False)] = 22.0
    relative_humidity: Annotated[Any, AfterValidator(_humidity)] = (0.5,)
    pressure_Pa: Annotated[float, Field(ge=50_000, le=110_000, allow_inf_nan=False)] = STANDARD_PRESSURE
    note: str = ""


class _BackgroundTable(_Strict):
    cas: Cas
    mg_m3: Annotated[float, Field(gt=0, le=1000, allow_inf_nan=False)]
    uncertainty_factor: Annotated[float, Field(ge=1.05, le=100, allow_inf_nan=False)] = 2.0
    source: str = "user"


class _LimitsTable(_Strict):
    lists: list[str] = []
    ordering: Literal["strictest", "first"] = "strictest"


class _HandLimitTable(_Strict):
    cas: Cas
    value: Positive
    unit: Literal["ppm", "mg/m3"]
    basis: Literal["TWA", "STEL", "C"] = "TWA"
    source: Annotated[str, Field(min_length=3, max_length=300)]
    confirmed: bool = False


class _RulesTable(_Strict):
    cleanup_minutes: Annotated[float, Field(gt=0, le=1440, allow_inf_nan=False)] = 15.0
    response_minutes: Annotated[float, Field(gt=0, le=1440, allow_inf_nan=False)] | None = None
    fan_stop_hours: Annotated[float, Field(ge=0, le=168, allow_inf_nan=False)] = 8.0
    required_interval_days: Annotated[float, Field(gt=0, le=3650, allow_inf_nan=False)] = 365.0
    criterion_fraction: Annotated[float, Field(gt=0, le=0.1, allow_inf_nan=False)] = 0.01
    spill_criterion_too: bool = False
    excursion_factor: Annotated[float, Field(ge=1, le=5, allow_inf_nan=False)] = 3.0
    lfl_fraction: Annotated[float, Field(gt=0, le=0.25, allow_inf_nan=False)] = 0.25
    flammables_litre_category_1: Positive | None = None
    flammables_litre_total: Positive | None = None
    visit_fraction_of_life: Fraction = 0.5
    visit_longest_days: Positive = 182.0
    saturation_fraction: Fraction = 0.5
    marker_cas: Annotated[str, AfterValidator(lambda written: written and cas_number(written))] = ""


class _RoomFile(_Strict):
    room: _RoomTable
    background: list[_BackgroundTable] | None = None
    limits: _LimitsTable = _LimitsTable()
    limit: list[_HandLimitTable] = []
    rules: _RulesTable = _RulesTable()


def parse_room(data: Mapping[str, Any], *, file_name: str = "room") -> Room:
    """A `Room` from the tables of a ROOM file (see docs/reference/room.md).

    Without a `background` key the usual background is assumed, and `backgrounds_stated` is False;
    ``background = []`` states that there is none.

    Raises
    ------
    InputError
        Every field at fault, with its place and mend.
    """
    file = check_fields(_RoomFile, data, file_name=file_name)
    _acts_before_it_is_done(file.rules, file_name)
    stated = file.background is not None
    humidity = file.room.relative_humidity
    return Room(
        name=file.room.name,
        volume=file.room.volume_m3,
        air_changes_per_h=file.room.air_changes_per_h,
        temperature=file.room.temperature_C + 273.15,
        relative_humidity=max(humidity),
        humidity_course=humidity if len(humidity) > 1 else (),
        pressure=file.room.pressure_Pa,
        backgrounds=tuple(Background(**row.model_dump()) for row in file.background or ())
        if stated
        else (ASSUMED_BACKGROUND,),
        rules=SiteRules(**file.rules.model_dump()),
        limit_lists=tuple(file.limits.lists),
        limit_ordering=file.limits.ordering,
        hand_limits=tuple(
            HandLimit(row.cas, row.value, row.unit, row.basis, row.source, row.confirmed)
            for row in file.limit
        ),
        backgrounds_stated=stated,
        note=file.room.note,
    )


def _acts_before_it_is_done(rules: _RulesTable, file_name: str) -> None:
    if rules.response_minutes is not None and rules.response_minutes > rules.cleanup_minutes:
        problem = Problem(
            f"is longer than cleanup_minutes, {rules.cleanup_minutes:g}: a spill is not cleaned up before somebody acts",
            "Give a longer cleanup_minutes, or a shorter time until somebody acts.",
            file=file_name,
            column="rules.response_minutes",
            found=f"{rules.response_minutes:g}",
        )
        raise InputError(problem)


def load_room(path: Path | str) -> Room:
    """A `Room` from a ROOM file; errors as `parse_room`."""
    return parse_room(read_toml(path), file_name=str(path))


class _Callable(ModuleType):
    """Lets ``room.load(…)`` read a file whether or not this module took the name first."""

    def __call__(self, path: Path | str) -> Room:
        return load_room(path)


sys.modules[__name__].__class__ = _Callable
