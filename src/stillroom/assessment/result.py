"""What an assessment answers. Pure data; `services.record` turns it into ``record.json``."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from stillroom.assessment.case import Case, Subject
from stillroom.segregation.model import Conflict
from stillroom.segregation.plan import Plan

__all__ = [
    "SEVERITY",
    "Assessment",
    "Clock",
    "Finding",
    "Normal",
    "RoomLoad",
    "SpillResult",
    "SubjectResult",
    "Verdict",
    "worst",
]

Array = NDArray[np.float64]
Verdict = Literal["approved", "approved with conditions", "not approved", "cannot tell"]
SEVERITY: tuple[Verdict, ...] = ("approved", "approved with conditions", "cannot tell", "not approved")


def worst(verdicts: list[Verdict]) -> Verdict:
    """The gravest of several verdicts; a refusal outweighs "cannot tell", which outweighs conditions."""
    return max(verdicts, key=SEVERITY.index, default="approved")


@dataclass(frozen=True, slots=True)
class Finding:
    """One check's answer for one substance or container: a verdict with its reason."""

    verdict: Verdict
    reason: str
    condition: str = ""
    """what must be kept for the verdict to hold"""
    sources: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Normal:
    """Normal storage on the time grid. Arrays are (n_t, n_v, size) unless said; vapours in the order of `cas`."""

    days: Array
    """(n_t,)"""
    cas: tuple[str, ...]
    emission: Array
    """(n_v, size) [mol/s]"""
    inlet: Array
    """(n_v, size) [mol/m³] stored and background"""
    fraction: Array
    """what the cabinet adds to its exhaust over the limit that is its criterion; NaN-free; 0 for backgrounds"""
    index: Array
    """(n_t, size) additive mixture index of `fraction`"""
    unfiltered: Array
    """(n_v, size) the same without filters"""
    room_fraction: Array
    """(n_v, size) what the cabinet adds to the room over the limit, at the end of the grid's label life"""
    background_fraction: Array
    """(n_v, size) what the room brought in and leaves again, over the limit, at the longest age"""
    dust_cas: tuple[str, ...]
    dust_fraction: Array
    """(n_dust, size) [-]"""
    notes: tuple[str, ...]
    missing: dict[str, str]


@dataclass(frozen=True, slots=True, eq=False)
class RoomLoad:
    """One of the room's own vapours at the filter. Arrays are (size,)."""

    cas: str
    name: str
    grams_a_year: Array
    """brought to the filter [g a year]"""
    held: Array
    """on the filter at the age clock, the room's part of it [g]"""
    share: Array
    """of all that the filter holds by then [g/g]"""
    through: Array
    """age at which the outlet reaches the site's fraction of the inlet [days]"""


@dataclass(frozen=True, slots=True, eq=False)
class SpillResult:
    """The design spill of one substance: its largest container broken."""

    cas: str
    container: str
    """key"""
    minutes: float
    """clean-up time that was assessed"""
    evaporation: Array
    """(size,) [kg/s] mean over the clean-up time, all vapours of that container"""
    flammable: Array | None
    """(size,) fraction of the lower flammable limit in the cabinet, fan running"""
    flammable_stopped: Array | None
    """(size,) the same with the fan stopped, when somebody acts"""
    short: Array
    """(n_age, size) room over its 15-minute or ceiling value"""
    twa: Array
    """(n_age, size) room over its 8-hour value"""
    short_unfiltered: Array
    """(size,)"""
    twa_unfiltered: Array
    """(size,)"""
    exhaust: Array
    """(n_age, size) mean exhaust during the spill over the criterion of normal storage, asked where the site wants it"""
    days: Array
    """(size,) first age at which it could not be borne; inf where never"""
    notes: tuple[str, ...] = ()
    on_an_edge: bool = False
    """refused, though the 5 and 95 % points of the draws themselves would not: more draws could tell"""


@dataclass(frozen=True, slots=True, eq=False)
class Clock:
    """One of the four clocks; `days` over the draws, inf where it does not run out."""

    name: Literal["limit", "reserve", "saturation", "age"]
    days: Array
    governing: str
    words: str


@dataclass(frozen=True, slots=True, eq=False)
class SubjectResult:
    """The answer for one substance."""

    subject: Subject
    verdict: Verdict
    findings: tuple[Finding, ...]
    spill: SpillResult | None
    days: Array
    """(size,) earliest of the clocks that concern it"""
    largest: float | None
    """m³ or kg; None where not asked or not to be had"""
    largest_words: str


@dataclass(frozen=True, slots=True, eq=False)
class Assessment:
    """The whole answer."""

    case: Case
    staying: Case
    """without the containers that were not approved: what the numbers describe"""
    verdict: Verdict
    words: tuple[str, ...]
    subjects: tuple[SubjectResult, ...]
    container_verdicts: dict[str, Verdict]
    container_reasons: dict[str, tuple[str, ...]]
    normal: Normal
    clocks: tuple[Clock, ...]
    life: Array
    """(size,) [days]"""
    governing: str
    conflicts: tuple[Conflict, ...]
    plan: Plan
    conditions: tuple[str, ...]
    assumptions: tuple[str, ...]
    room_load: tuple[RoomLoad, ...] = ()
    warnings: tuple[str, ...] = ()
    sources: tuple[str, ...] = field(default=())
