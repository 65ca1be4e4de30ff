"""What is known of a substance: identity, properties, limits, hazards. Pure data."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import Literal

from stillroom.sources import Missing, Sourced

__all__ = [
    "Admission",
    "Hazards",
    "Limit",
    "LimitChoice",
    "Ordering",
    "Properties",
    "Resolution",
    "Substance",
]

Basis = Literal["TWA", "STEL", "C"]


@dataclass(frozen=True, slots=True)
class Substance:
    """One chemical identity. `cas` is the key everywhere."""

    cas: str
    name: str
    formula: str = ""
    molar_mass_g_mol: float | None = None
    smiles: str = ""
    synonyms: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Resolution:
    """Which substance a name or a CAS number means, or why that cannot be said.

    A name alone may carry more than an identity ("Hydrochloric acid, ACS, 37 %"): what else stood in it is
    in `strength`, `solvent` and `grade`, as written.
    """

    substance: Substance | None
    reason: str = ""
    """why there is no substance; with one, a remark that deserves a second look, or empty"""
    near: tuple[str, ...] = ()
    """names that look alike, for the user to choose from; never taken by themselves"""
    strength: str = ""
    grade: str = ""
    solvent: str = ""
    contradiction: bool = False
    """the input is wrong (check digit, name against number), as opposed to not known"""


@dataclass(frozen=True, slots=True)
class Properties:
    """Physical properties of the pure substance at one temperature; each `Sourced`, or `Missing` with its reason.

    The saturation pressure is that of the phase that is there: sublimation pressure for a solid.
    """

    cas: str
    temperature: float
    """[K]"""
    molar_mass: Sourced | Missing
    """[g/mol]"""
    saturation_pressure: Sourced | Missing
    """[Pa]"""
    liquid_density: Sourced | Missing
    """Density of the liquid (subcooled where the substance is solid) [kg/m³]"""
    boiling_point: Sourced | Missing
    """[K]"""
    melting_point: Sourced | Missing
    """[K]"""
    molar_polarisability: Sourced | Missing
    """Electronic (Lorentz–Lorenz) molar refraction (n²−1)/(n²+2)·M/ρ [cm³/mol]"""
    diffusivity_in_air: Sourced | Missing
    """[m²/s] at `temperature` and one atmosphere"""
    lower_flammable_limit: Sourced | Missing
    """[mol/mol]"""
    flash_point: Sourced | Missing
    """[K]"""
    ionisation_energy: Sourced | Missing
    """[eV]"""
    phase: Literal["solid", "liquid", "gas", "unknown"] = "unknown"
    """Phase of the pure substance at `temperature` and one atmosphere"""


@dataclass(frozen=True, slots=True)
class Limit:
    """One exposure limit as one list prints it."""

    cas: str
    name: str
    list: str
    """key of the list, for instance ``osha-z1``"""
    edition: str
    basis: Basis
    value: float
    unit: Literal["ppm", "mg/m3"]
    measured_as: str = ""
    """the element or ion it is counted as ("Cr(VI)", "CN"), empty where as itself"""
    fraction: str = ""
    """for particulates: total, inhalable, respirable, fume; empty for vapours"""
    minutes: float | None = None
    """averaging time: 480 for TWA, 15 for most STEL, None for a ceiling"""
    notations: tuple[str, ...] = ()
    """of: skin, carcinogen, sensitiser, lowest feasible"""
    source: str = ""
    """key of the bibliography"""
    locator: str = ""
    note: str = ""
    printed_for: str = ""
    """the parent that the list names, where it is not the substance itself: "oxalic acid (144-62-7)" """


class Ordering(StrEnum):
    """How a limit is picked among the lists that the user chose."""

    STRICTEST = "strictest"
    FIRST = "first"


@dataclass(frozen=True, slots=True)
class LimitChoice:
    """The limits that apply to one substance, and the one that the 1 % criterion uses.

    `criterion` is the TWA where a chosen list has one; else the ceiling or STEL, and `reasons` says so.
    """

    cas: str
    twa: Limit | None
    stel: Limit | None
    ceiling: Limit | None
    criterion: Limit | None
    all: tuple[Limit, ...] = ()
    """every limit of the chosen lists, in the user's order"""
    reasons: tuple[str, ...] = ()


class Admission(StrEnum):
    """May it be in a recirculating filtered cabinet at all?"""

    ORDINARY = "ordinary"
    NEEDS_MEDIUM = "needs a characterised medium"
    REFUSED = "refused"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Hazards:
    """What the gate and the neighbours need to know of a substance."""

    cas: str
    admission: Admission
    admission_reasons: tuple[str, ...]
    """words for the record; each names its source"""
    sources: tuple[str, ...] = ()
    """keys of the bibliography"""
    medium_family: str = ""
    """whose vapour plain carbon does not hold, be it admitted or not: formaldehyde, ammonia, acid gas, hydrogen
    sulphide, mercury"""
    reactive_groups: tuple[int, ...] = ()
    """groups of EPA-600/2-80-076"""
    storage_classes: tuple[str, ...] = ()
    """own words for shelf neighbours: flammable, acid, base, oxidiser, oxidising acid, reducing, toxic, …"""
    peroxide_former: bool = False
    corrosive: bool = False
    flammable_category: str = ""
    """29 CFR 1910.106 category 1–4 for liquids, else empty"""
    notes: tuple[str, ...] = field(default=())
