"""A test of a medium's sample, as a certificate tells it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from stillroom.units import STANDARD_PRESSURE
from stillroom.units.files import check_fields, read_toml

__all__ = ["Certificate", "load_certificate", "parse_certificate"]


@dataclass(frozen=True, slots=True)
class Certificate:
    """One vapour at a constant inlet through a fresh sample, until the outlet has reached a share of it."""

    cas: str
    inlet_ppm: float
    relative_humidity: float
    """[-]"""
    temperature: float
    """[K]"""
    pressure: float
    """[Pa]"""
    flow: float
    """[m³/s]"""
    mass: float
    """of the sample [kg]"""
    area: float
    """of the sample's face [m²]"""
    ends_at: float
    """outlet over inlet at which the test ended [-]"""
    held_g: float | None
    """taken up by then [g]; or, in its place:"""
    time: float | None
    """until then [s]"""
    uncertainty: float
    """of what was measured, relative, at 95 % [-]"""
    words: str
    """standard, laboratory, number, date"""


@cache
def _file_model() -> type[Any]:
    """The pydantic model of a certificate, made when first needed: pydantic is slow to import."""
    from datetime import date as day

    from pydantic import BaseModel, ConfigDict, Field, model_validator

    from stillroom.substances.fields import Cas

    class File(BaseModel):
        model_config = ConfigDict(extra="forbid", allow_inf_nan=False)
        cas: Cas
        inlet_ppm: float = Field(gt=0, le=1e5)
        relative_humidity: float = Field(ge=0, le=1)
        temperature_C: float = Field(ge=-20, le=80)
        pressure_Pa: float = Field(default=STANDARD_PRESSURE, ge=50_000, le=150_000)
        flow_L_min: float = Field(gt=0, le=1e6)
        mass_g: float = Field(gt=0, le=1e6)
        area_cm2: float = Field(gt=0, le=1e6)
        ends_at: float = Field(gt=0, lt=1)
        held_g: float | None = Field(default=None, gt=0)
        time_min: float | None = Field(default=None, gt=0)
        uncertainty_percent: float = Field(default=20.0, ge=1, le=100)
        standard: str = Field(min_length=1)
        laboratory: str = Field(min_length=1)
        number: str = ""
        date: day

        @model_validator(mode="after")
        def _one(self) -> File:
            if (self.held_g is None) == (self.time_min is None):
                raise ValueError("write one of held_g and time_min")
            return self

    File.model_rebuild(_types_namespace={"File": File, "day": day, "Cas": Cas})
    return File


def parse_certificate(fields: Mapping[str, Any], *, file: str) -> Certificate:
    """A certificate from the parsed file.

    Raises
    ------
    InputError
        With every fault: file, key, what was found, and the mend.
    """
    read = check_fields(_file_model(), fields, file_name=file)
    told = [read.standard, read.laboratory, read.number, read.date.isoformat()]
    return Certificate(
        cas=read.cas,
        inlet_ppm=read.inlet_ppm,
        relative_humidity=read.relative_humidity,
        temperature=read.temperature_C + 273.15,
        pressure=read.pressure_Pa,
        flow=read.flow_L_min / 60_000.0,
        mass=read.mass_g * 1e-3,
        area=read.area_cm2 * 1e-4,
        ends_at=read.ends_at,
        held_g=read.held_g,
        time=None if read.time_min is None else read.time_min * 60.0,
        uncertainty=read.uncertainty_percent * 1e-2,
        words=", ".join(word for word in told if word),
    )


def load_certificate(path: Path | str) -> Certificate:
    """A certificate's TOML file (docs/reference/media.md).

    Raises
    ------
    InputError
        With every fault: file, key, what was found, and the mend.
    """
    return parse_certificate(read_toml(path), file=Path(path).name)
