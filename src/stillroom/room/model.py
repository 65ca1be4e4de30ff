"""A room and the site's rules. Pure data; read from a file by `load_room`."""

from __future__ import annotations

from dataclasses import dataclass

from stillroom.units import STANDARD_PRESSURE

__all__ = ["Background", "HandLimit", "Room", "SiteRules"]


@dataclass(frozen=True, slots=True)
class Background:
    """A vapour that the room's air brings to the filter."""

    cas: str
    mg_m3: float
    """[mg/m³]"""
    uncertainty_factor: float = 2.0
    """geometric: 90 % within value ÷ factor … value × factor"""
    source: str = "user"


@dataclass(frozen=True, slots=True)
class SiteRules:
    """What the site decides; each default is common practice or the named rule."""

    cleanup_minutes: float = 15.0
    response_minutes: float | None = None
    """from a break until somebody acts at the cabinet; None: a third of the clean-up time (common practice, no source)"""
    fan_stop_hours: float = 8.0
    """longest stop of the fan to be survived"""
    required_interval_days: float = 365.0
    """`largest_amount` holds the reserve clock for this long"""
    criterion_fraction: float = 0.01
    """of the 8-hour limit, at the exhaust, in normal storage"""
    spill_criterion_too: bool = False
    """ask for the 1 % criterion in a spill as well"""
    excursion_factor: float = 3.0
    """15-minute value where no short-term limit is published: this many times the TWA (common practice)"""
    lfl_fraction: float = 0.25
    flammables_litre_category_1: float | None = None
    """None: the table of 29 CFR 1910.106(d)(3)"""
    flammables_litre_total: float | None = None
    visit_fraction_of_life: float = 0.5
    visit_longest_days: float = 182.0
    saturation_fraction: float = 0.5
    """outlet over inlet at which the marker vapour counts as through"""
    marker_cas: str = ""

    @property
    def acts_after_minutes(self) -> float:
        """From a break until somebody acts at the cabinet [min]."""
        return self.cleanup_minutes / 3.0 if self.response_minutes is None else self.response_minutes


@dataclass(frozen=True, slots=True)
class HandLimit:
    """An exposure limit typed by the user, for instance from a safety data sheet's section 8."""

    cas: str
    value: float
    unit: str
    """ppm or mg/m3"""
    basis: str
    """TWA, STEL or C"""
    source_words: str
    confirmed: bool = False
    """the user has looked again at a value that is far from every known list"""


@dataclass(frozen=True, slots=True)
class Room:
    """The room that the cabinet stands in."""

    name: str
    volume: float
    """[m³]"""
    air_changes_per_h: float
    """of outdoor or clean air [1/h]"""
    temperature: float = 295.15
    """[K]"""
    relative_humidity: float = 0.5
    """the most humid of what was given"""
    humidity_course: tuple[float, ...] = ()
    """where more than one number was given: a range (2) or monthly means (12)"""
    pressure: float = STANDARD_PRESSURE
    """[Pa]"""
    backgrounds: tuple[Background, ...] = ()
    rules: SiteRules = SiteRules()
    limit_lists: tuple[str, ...] = ()
    limit_ordering: str = "strictest"
    hand_limits: tuple[HandLimit, ...] = ()
    backgrounds_stated: bool = True
    """False where the usual background was assumed because none was given"""
    note: str = ""

    @property
    def humidity_words(self) -> str:
        """Relative humidity as given, in words."""
        shown = [f"{100 * h:.3g}" for h in self.humidity_course]
        if len(shown) == 2:
            return f"{shown[0]} to {shown[1]} % relative humidity"
        if shown:
            least = f"{100 * min(self.humidity_course):.3g}"
            return f"{least} to {100 * self.relative_humidity:.3g} % relative humidity by month, of which the most humid counts"
        return f"{100 * self.relative_humidity:.0f} % relative humidity"
