"""Comparison files: TOML to `Case`."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Annotated, Any

from pydantic import AfterValidator, BaseModel, ConfigDict, Field

from stillroom.economics.climate import Climate, Month, read_climate
from stillroom.economics.model import Case, Ducted, Filtered, Plant, Prices, Room, exactly
from stillroom.errors import InputError, Problem
from stillroom.media.model import Interval
from stillroom.units import STANDARD_PRESSURE
from stillroom.units.files import check_fields, read_toml

__all__ = ["load_case", "parse_case"]


def _ordered(written: float | list[float]) -> float | list[float]:
    values = written if isinstance(written, list) else [written]
    if len(values) not in (1, 3) or sorted(values) != values:
        raise ValueError("is neither a number nor [5 %, middle, 95 %] in rising order")
    if any(not 0.0 <= value < 1e12 for value in values):
        raise ValueError("is negative, too large or no number")
    if len(values) == 3 and values[0] <= 0.0 and values[0] != values[2]:
        raise ValueError("an interval starts above zero; write one number where it is zero for certain")
    return written


Span = Annotated[float | list[float], AfterValidator(_ordered)]


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid")


class _Savings(_Strict):
    name: Annotated[str, Field(min_length=1, max_length=200)]
    flow_m3_h: Annotated[float, Field(gt=0, le=20_000, allow_inf_nan=False)]
    running_hours: Annotated[float, Field(gt=0, le=8760, allow_inf_nan=False)] = 8760.0
    currency: Annotated[str, Field(pattern=r"^[A-Z]{3}$")]
    invented: bool = False


class _Room(_Strict):
    temperature_C: Span
    relative_humidity: Span
    pressure_Pa: Annotated[float, Field(ge=50_000, le=110_000, allow_inf_nan=False)] = STANDARD_PRESSURE


class _Month(_Strict):
    temperature_C: Annotated[float, Field(ge=-60, le=60, allow_inf_nan=False)]
    relative_humidity: Annotated[float, Field(ge=0, le=1, allow_inf_nan=False)]


class _Climate(_Strict):
    source: Annotated[str, Field(min_length=3, max_length=300)]
    file: str | None = None
    month: list[_Month] = []


class _Plant(_Strict):
    cooling_cop: Span
    heating_efficiency: Span = 1.0
    humidifies: bool = False
    reheats: bool = False
    recovery: Span = 0.0


class _Prices(_Strict):
    electricity_per_kWh: Span
    heat_per_kWh: Span


class _Ducted(_Strict):
    fan_W: Span
    upkeep_per_year: Span = 0.0
    installation: Span = 0.0
    lasts_years: Annotated[float, Field(gt=0, le=100, allow_inf_nan=False)] = 15.0


class _Filtered(_Strict):
    fan_W: Span
    filter_life_days: Span
    filter_set: Span
    visits_per_year: Span
    visit: Span


class _File(_Strict):
    savings: _Savings
    room: _Room
    climate: _Climate
    plant: _Plant
    prices: _Prices
    ducted: _Ducted
    filtered: _Filtered


def load_case(path: Path | str) -> Case:
    """The comparison in a TOML file; its climate table lies beside it.

    Raises
    ------
    InputError
        Every fault with its place and mend.
    """
    path = Path(path)
    return parse_case(read_toml(path), file_name=str(path), folder=path.parent)


def parse_case(data: Mapping[str, Any], *, file_name: str, folder: Path | None = None) -> Case:
    """The comparison in parsed tables; a climate file is looked for in `folder` only.

    Raises
    ------
    InputError
        Every fault with its place and mend.
    """
    given = check_fields(_File, data, file_name=file_name)
    return Case(
        name=given.savings.name,
        flow=given.savings.flow_m3_h / 3600.0,
        running_hours=given.savings.running_hours,
        room=Room(
            _span(given.room.temperature_C),
            _within(given.room.relative_humidity, 1.0, "room.relative_humidity", file_name),
            given.room.pressure_Pa,
        ),
        climate=_climate(given.climate, file_name=file_name, folder=folder),
        plant=Plant(
            _positive(given.plant.cooling_cop, "plant.cooling_cop", file_name),
            _positive(given.plant.heating_efficiency, "plant.heating_efficiency", file_name),
            given.plant.humidifies,
            given.plant.reheats,
            _within(given.plant.recovery, 1.0, "plant.recovery", file_name),
        ),
        prices=Prices(
            given.savings.currency, _span(given.prices.electricity_per_kWh), _span(given.prices.heat_per_kWh)
        ),
        ducted=Ducted(
            _span(given.ducted.fan_W),
            _span(given.ducted.upkeep_per_year),
            _span(given.ducted.installation),
            given.ducted.lasts_years,
        ),
        filtered=Filtered(
            _span(given.filtered.fan_W),
            _positive(given.filtered.filter_life_days, "filtered.filter_life_days", file_name),
            _span(given.filtered.filter_set),
            _span(given.filtered.visits_per_year),
            _span(given.filtered.visit),
        ),
        invented=given.savings.invented,
    )


def _span(written: float | list[float]) -> Interval:
    if not isinstance(written, list):
        return exactly(written)
    if len(written) == 1:
        return exactly(written[0])
    low, middle, high = written
    return Interval(low, middle, high, "user")


def _positive(written: float | list[float], place: str, file_name: str) -> Interval:
    span = _span(written)
    if span.p05 <= 0.0:
        raise InputError(Problem("is not above zero", "Change it.", file=file_name, column=place, found="0"))
    return span


def _within(written: float | list[float], largest: float, place: str, file_name: str) -> Interval:
    span = _span(written)
    if span.p95 > largest:
        raise InputError(
            Problem(
                f"is above {largest:g}",
                "Write a fraction, not per cent.",
                file=file_name,
                column=place,
                found=f"{span.p95:g}",
            )
        )
    return span


def _climate(given: _Climate, *, file_name: str, folder: Path | None) -> Climate:
    if (given.file is None) == (not given.month):
        raise InputError(
            Problem(
                "needs either a file or twelve [[climate.month]] tables",
                "Give one of them.",
                file=file_name,
                column="climate",
            )
        )
    if given.file is None:
        if len(given.month) != 12:
            raise InputError(
                Problem(
                    f"has {len(given.month)} months",
                    "Give twelve, January first.",
                    file=file_name,
                    column="climate.month",
                )
            )
        return Climate(
            tuple(Month(month.temperature_C, month.relative_humidity) for month in given.month), given.source
        )
    path = (folder / given.file).resolve() if folder is not None else None
    if path is None or folder is None or not path.is_relative_to(folder.resolve()):
        raise InputError(
            Problem(
                "lies outside the folder of this file",
                "Put the climate table beside it.",
                file=file_name,
                column="climate.file",
                found=given.file[:60],
            )
        )
    try:
        text = path.read_text("utf-8-sig")
    except (OSError, UnicodeDecodeError):
        raise InputError(
            Problem("cannot be read as UTF-8 text", "Check path and content.", file=str(path))
        ) from None
    return read_climate(text, file_name=str(path), source=given.source)
