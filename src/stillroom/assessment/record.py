"""The shape of ``record.json``: what every paper, page and archive reads.

All numbers are in the unit that their name or their `unit` says. An interval is ``{p05, p50, p95}``; a number
that is not known is ``None`` and a reason stands beside it. Absent is never zero.
"""

from __future__ import annotations

from typing import Literal, NotRequired, TypedDict

__all__ = [
    "CautiousRecord",
    "ClockRecord",
    "ConflictRecord",
    "ContainerRecord",
    "CurveRecord",
    "IntervalRecord",
    "LimitRecord",
    "PlacementRecord",
    "Record",
    "ShelfRecord",
    "SpillRecord",
    "SubstanceRecord",
    "VisitRecord",
]

Verdict = Literal["approved", "approved with conditions", "not approved", "cannot tell"]


class IntervalRecord(TypedDict):
    p05: float | None
    p50: float | None
    p95: float | None


class CautiousRecord(TypedDict):
    """How sure the cautious life is: the 5 % point of the draws and its confidence bounds [days]."""

    days: float | None
    """the lower bound, which decides"""
    point_days: float | None
    """the 5 % point of the draws themselves"""
    upper_days: float | None
    confidence: float
    """of each bound, one-sided"""
    draws: int


class LimitRecord(TypedDict):
    value: float
    unit: str
    list: str
    """key"""
    list_title: str
    edition: str
    basis: str
    """TWA, STEL or C"""
    measured_as: str
    fraction: str
    notations: list[str]
    locator: str
    note: str


class SpillRecord(TypedDict):
    """The design spill of this substance: its largest container broken."""

    container: str
    """words: "2.5 L" """
    evaporation_g_per_min: IntervalRecord
    cabinet_fraction_of_lfl: IntervalRecord
    """fan running"""
    cabinet_fraction_of_lfl_fan_stopped: IntervalRecord
    room_fraction_of_short_limit: IntervalRecord
    """worst of 15-minute or ceiling value, over that value, with the filter at the end of its required interval"""
    room_fraction_of_twa: IntervalRecord
    notes: list[str]


class VisibilityRecord(TypedDict):
    """Can a photoionisation detector with this lamp see it, and 1 % of its limit at the exhaust?"""

    lamp_eV: float
    sees: bool | None
    sees_criterion: bool | None
    """None: cannot tell"""
    words: str


class SubstanceRecord(TypedDict):
    cas: str
    name: str
    containers: str
    """words: "2 × 2.5 L" """
    limit: LimitRecord | None
    limits_all: list[LimitRecord]
    verdict: Verdict
    reasons: list[str]
    emission_g_per_day: IntervalRecord
    exhaust_fraction_of_limit: IntervalRecord
    """at the end of the label's life"""
    exhaust_fraction_unfiltered: IntervalRecord
    room_fraction_of_limit: IntervalRecord
    service_life_days: IntervalRecord
    """the earliest of the clocks that concern this substance"""
    largest_amount: float | None
    """largest container [L or kg, see largest_amount_unit]; None: cannot tell or not asked, see largest_amount_words"""
    largest_amount_unit: str
    largest_amount_words: str
    spill: SpillRecord | None
    visibility: list[VisibilityRecord]
    check_point: str
    """words: where and how this substance is checked on a visit"""


class ClockRecord(TypedDict):
    name: Literal["limit", "reserve", "saturation", "age"]
    days: IntervalRecord
    """None where the clock never runs out within the horizon; `words` says so"""
    governing: str
    """CAS, or empty"""
    governing_name: str
    words: str


class ConflictRecord(TypedDict):
    cas: list[str]
    """both CAS numbers"""
    names: list[str]
    containers: list[str]
    """keys of containers concerned"""
    hazard: str
    consequence: str
    source: str
    """words: title and locator"""
    severity: Literal["separate tray", "separate compartment", "not in one cabinet", "alone"]
    solved: bool
    """kept apart by the shelf plan"""
    mend: str


class ContainerRecord(TypedDict):
    key: str
    row: int
    name: str
    cas: str
    amount: str
    count: int
    concentration: str
    state: str
    closure: str
    material: NotRequired[str]
    opened_per_week: NotRequired[float]
    note: str
    known: bool
    verdict: Verdict
    place: str
    """words: "compartment A, shelf 2, tray 1"; empty where not placed"""


class PlacedRecord(TypedDict):
    container: str
    """key"""
    copy: int
    """1 … count"""
    label: str
    x_m: float
    y_m: float
    """position of the centre on the shelf from its front left corner"""
    diameter_m: float
    height_m: float
    kind: str
    """one word for the drawing: flammable, acid, base, oxidiser, toxic, other"""


class ShelfRecord(TypedDict):
    compartment: str
    shelf: str
    height_m: float
    width_m: float
    depth_m: float
    clear_height_m: float
    trays: int
    tray_litres: float | None
    load_kg: float
    placed: list[PlacedRecord]


class PlacementRecord(TypedDict):
    shelves: list[ShelfRecord]
    not_placed: list[str]
    """keys of containers, with the reason in `words`"""
    words: list[str]


class CurveRecord(TypedDict):
    """Exhaust fraction of the limit against time, the band 5–95 %."""

    cas: str
    """CAS, or "index" for the mixture index"""
    name: str
    days: list[float]
    p05: list[float]
    p50: list[float]
    p95: list[float]


class VisitRecord(TypedDict):
    next_visit: str
    """ISO date"""
    interval_days: float
    rule: str
    """words"""


class Record(TypedDict):
    schema: str
    """"stillroom-record/1" """
    number: str
    """validation number, from the input's hash and the date: unique enough to quote"""
    title: str
    invented: bool
    """true for demo data: every paper says so"""
    date: str
    """ISO date of the assessment (an argument, never the clock)"""
    valid_until: str
    seed: int
    draws: int
    verdict: Verdict
    verdict_words: list[str]
    """the decision in two to five sentences"""
    substances: list[SubstanceRecord]
    mixture_index: IntervalRecord
    """additive index at the exhaust at the end of life: sum of fraction of limit; criterion 0.01"""
    room_mixture_index: IntervalRecord
    service_life_days: IntervalRecord
    """the label's: earliest of the four clocks; points of the draws"""
    cautious_life: NotRequired[CautiousRecord]
    """absent from records of models 1 and 2, whose cautious life was the 5 % point itself"""
    label_life_days: float | None
    """the cautious life, rounded down"""
    life_ends: str
    """ISO date"""
    governing: str
    """CAS or name of the clock"""
    governing_words: str
    clocks: list[ClockRecord]
    conflicts: list[ConflictRecord]
    containers: list[ContainerRecord]
    placement: PlacementRecord
    conditions: list[str]
    cautions: list[str]
    assumptions: list[str]
    curves: list[CurveRecord]
    room: dict[str, object]
    """name, volume_m3, air_changes_per_h, temperature_C, relative_humidity (as given: a number, [low, high] or
    twelve monthly means), backgrounds [{cas, name, mg_m3}],
    filter_load [{cas, name, grams_a_year, held_g, share_of_held, through_days}], words"""
    cabinet: dict[str, object]
    """name, flow_m3_h, filters [words], seal_bypass {p05,p50,p95}, detector, words"""
    rules: dict[str, object]
    """the site's rules that were used, name -> value in words"""
    limit_lists: list[dict[str, str]]
    """key, title, edition in the user's order"""
    limit_ordering: str
    visit: VisitRecord
    reading: dict[str, str]
    """how the inventory file was read"""
    warnings: list[str]
    sources: list[str]
    """full words, one a source that was used"""
    versions: dict[str, str]
    """stillroom, model, media, limit lists: what made this result"""
    input_sha256: str
    signature: dict[str, str] | None
    """name, meaning, time_utc once signed; None before"""
