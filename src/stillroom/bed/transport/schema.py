"""What CASE.toml may hold (docs/reference/bed.md). Units stand in the keys."""

from __future__ import annotations

from itertools import pairwise
from math import isfinite
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from stillroom.units import STANDARD_PRESSURE

__all__ = ["AirTable", "BedTable", "CaseFile", "MediumTable", "RunTable", "VapourTable"]

_NUMBER = {"allow_inf_nan": False}
Positive = Annotated[float, Field(gt=0, lt=1e12, **_NUMBER)]
Rows = list[tuple[float, float]]


def _number(written: Any) -> float:
    if isinstance(written, bool) or not isinstance(written, int | float) or not isfinite(written):
        raise ValueError("is no number")
    return float(written)


def _rows(written: Any) -> Rows:
    """[[hours, value], …], hours rising from 0 or later."""
    try:
        rows = [(_number(hour), _number(value)) for hour, value in written]
    except (TypeError, ValueError):
        rows = []
    hours = [hour for hour, _ in rows]
    if not rows or not 0.0 <= hours[0] <= hours[-1] < 1e7 or any(b <= a for a, b in pairwise(hours)):
        raise ValueError("is not [[hours, value], …] with at least one row and hours that rise")
    return rows


def _course(written: Any) -> Rows:
    """One number for all times, or rows."""
    return _rows(written) if isinstance(written, list) else [(0.0, _number(written))]


def _within(least: float, most: float) -> AfterValidator:
    def check(rows: Rows) -> Rows:
        if not all(least <= value <= most for _, value in rows):
            raise ValueError(f"lies outside {least:g} to {most:g}: is the unit the one in the key?")
        return rows

    return AfterValidator(check)


Course = Annotated[Rows, BeforeValidator(_course)]


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid")


class MediumTable(_Strict):
    file: str | None = None
    name: str | None = None
    law: Literal["langmuir", "linear"] | None = None

    @model_validator(mode="after")
    def _one(self) -> MediumTable:
        if sum(value is not None for value in (self.file, self.name, self.law)) != 1:
            raise ValueError('write one of file = "…", name = "…" and law = "langmuir" or "linear"')
        return self


class BedTable(_Strict):
    depth_m: Annotated[float, Field(gt=0, le=10, **_NUMBER)]
    area_m2: Annotated[float, Field(gt=0, le=1000, **_NUMBER)]
    bulk_density_kg_m3: Annotated[float, Field(ge=10, le=5000, **_NUMBER)]
    grain_diameter_m: Annotated[float, Field(ge=1e-5, le=0.05, **_NUMBER)] | None = None
    void_fraction: Annotated[float, Field(ge=0.1, le=0.9, **_NUMBER)] = 0.4
    medium: MediumTable | None = None


class AirTable(_Strict):
    flow_m3_h: Annotated[Course, _within(1e-6, 1e6)]
    temperature_C: Annotated[Course, _within(-60.0, 150.0)] = [(0.0, 22.0)]
    relative_humidity: Annotated[Course, _within(0.0, 1.0)] = [(0.0, 0.0)]
    pressure_Pa: Annotated[float, Field(ge=20_000, le=1_000_000, **_NUMBER)] = STANDARD_PRESSURE


class VapourTable(_Strict):
    cas: Annotated[str, Field(min_length=1, max_length=40)]
    inlet_ppm: Annotated[float, Field(ge=0, le=1e6, **_NUMBER)] | None = None
    inlet: Annotated[Rows, BeforeValidator(_rows), _within(0.0, 1e6)] | None = None
    q_max_mol_kg: Positive | None = None
    b_per_Pa: Positive | None = None
    henry_mol_kg_Pa: Positive | None = None
    rate_per_s: Annotated[float, Field(ge=0, lt=1e9, **_NUMBER)] | None = None
    stock_mol_kg: Positive | None = None
    family: Annotated[str, Field(min_length=1, max_length=40)] | None = None

    @model_validator(mode="after")
    def _fed(self) -> VapourTable:
        if (self.inlet_ppm is None) == (self.inlet is None):
            raise ValueError("write one of inlet_ppm = … and inlet = [[hours, ppm], …]")
        return self


class RunTable(_Strict):
    until_h: Annotated[float, Field(gt=0, lt=1e7, **_NUMBER)]
    fractions: Annotated[
        list[Annotated[float, Field(gt=0, le=100, **_NUMBER)]], Field(min_length=1, max_length=50)
    ] = [0.01, 0.10]
    cells: Annotated[int, Field(ge=1, le=5000)] | None = None
    tolerance: Annotated[float, Field(ge=1e-9, le=0.1, **_NUMBER)] | None = None


class CaseFile(_Strict):
    bed: Annotated[list[BedTable], Field(min_length=1, max_length=20)]
    air: AirTable
    medium: MediumTable | None = None
    vapour: Annotated[list[VapourTable], Field(min_length=1, max_length=200)]
    run: RunTable
    invented: bool = False
