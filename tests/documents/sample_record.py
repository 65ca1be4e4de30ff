"""An invented record, complete and plausible, for tests of papers and pages.

Nothing here was measured or computed: cabinet, room, people and every result are made up for these tests, and the
record says so (`invented` is true). Exposure limits are typed from memory and stand for a list's shape only.
"""

from __future__ import annotations

import copy
import math
from collections.abc import Sequence
from typing import Any, cast

from stillroom.assessment.record import (
    ClockRecord,
    ConflictRecord,
    ContainerRecord,
    CurveRecord,
    IntervalRecord,
    LimitRecord,
    PlacedRecord,
    Record,
    ShelfRecord,
    SpillRecord,
    SubstanceRecord,
    VisibilityRecord,
)

__all__ = [
    "approved_record",
    "long_record",
    "refused_record",
    "sample_record",
    "signed_record",
    "unsure_record",
]

LISTS = {
    "demo-a": ("Invented list A, workplace exposure limits", "2024"),
    "demo-b": ("Invented list B, recommended limits", "2022"),
}
NAMES = {
    "108-88-3": "Toluene",
    "67-64-1": "Acetone",
    "67-63-0": "Propan-2-ol",
    "141-78-6": "Ethyl acetate",
    "64-17-5": "Ethanol",
    "64-19-7": "Acetic acid",
    "7664-93-9": "Sulphuric acid",
    "7758-97-6": "Lead chromate",
}


def _interval(p05: float | None, p50: float | None, p95: float | None) -> IntervalRecord:
    return {"p05": p05, "p50": p50, "p95": p95}


UNKNOWN = _interval(None, None, None)


def _limit(value: float, unit: str, key: str, basis: str, locator: str, **more: Any) -> LimitRecord:
    title, edition = LISTS[key]
    return {
        "value": value,
        "unit": unit,
        "list": key,
        "list_title": title,
        "edition": edition,
        "basis": basis,
        "measured_as": more.get("measured_as", ""),
        "fraction": more.get("fraction", ""),
        "notations": more.get("notations", []),
        "locator": locator,
        "note": more.get("note", ""),
    }


def _lamps(sees: Sequence[bool | None], criterion: Sequence[bool | None]) -> list[VisibilityRecord]:
    words = {
        (True, True): "sees 1 % of the limit at the exhaust",
        (True, False): "sees the vapour, but not 1 % of its limit",
        (False, False): "does not see it: ionisation energy above the lamp's",
        (None, None): "cannot tell: no published ionisation energy",
    }
    lamps = zip((10.0, 10.6, 11.7), sees, criterion, strict=True)
    return [
        {"lamp_eV": lamp, "sees": seen, "sees_criterion": enough, "words": words[(seen, enough)]}
        for lamp, seen, enough in lamps
    ]


def _spill(container: str, rate: float, cabinet: float, room: float, *notes: str) -> SpillRecord:
    return {
        "container": container,
        "evaporation_g_per_min": _interval(0.6 * rate, rate, 1.6 * rate),
        "cabinet_fraction_of_lfl": _interval(0.6 * cabinet, cabinet, 1.6 * cabinet),
        "cabinet_fraction_of_lfl_fan_stopped": _interval(0.9 * cabinet, 1.7 * cabinet, 2.9 * cabinet),
        "room_fraction_of_short_limit": _interval(0.5 * room, room, 2.1 * room),
        "room_fraction_of_twa": _interval(0.2 * room, 0.4 * room, 0.8 * room),
        "notes": list(notes),
    }


def _substance(
    cas: str,
    containers: str,
    limits: list[LimitRecord],
    *,
    grams: tuple[float, float, float] | None,
    exhaust: tuple[float, float, float] | None,
    life: tuple[float | None, float | None, float | None],
    largest: tuple[float | None, str, str],
    reasons: list[str],
    verdict: str = "approved",
    spill: SpillRecord | None = None,
    visibility: list[VisibilityRecord] | None = None,
    check_point: str = "exhaust grille, photoionisation detector, 10.6 eV lamp",
) -> SubstanceRecord:
    unfiltered = tuple(12 * value for value in exhaust) if exhaust else (None, None, None)
    room = tuple(0.3 * value for value in exhaust) if exhaust else (None, None, None)
    return cast(
        SubstanceRecord,
        {
            "cas": cas,
            "name": NAMES[cas],
            "containers": containers,
            "limit": limits[0] if limits else None,
            "limits_all": limits,
            "verdict": verdict,
            "reasons": reasons,
            "emission_g_per_day": _interval(*grams) if grams else UNKNOWN,
            "exhaust_fraction_of_limit": _interval(*exhaust) if exhaust else UNKNOWN,
            "exhaust_fraction_unfiltered": _interval(*unfiltered),
            "room_fraction_of_limit": _interval(*room),
            "service_life_days": _interval(*life),
            "largest_amount": largest[0],
            "largest_amount_unit": largest[1],
            "largest_amount_words": largest[2],
            "spill": spill,
            "visibility": visibility or _lamps((None, None, None), (None, None, None)),
            "check_point": check_point,
        },
    )


def _substances() -> list[SubstanceRecord]:
    both = (True, True, True)
    return [
        _substance(
            "108-88-3",
            "2 × 2.5 L",
            [
                _limit(50, "ppm", "demo-a", "TWA", "table 1, row 108-88-3", notations=["skin"]),
                _limit(100, "ppm", "demo-b", "TWA", "page 12"),
                _limit(150, "ppm", "demo-b", "STEL", "page 12"),
            ],
            grams=(0.06, 0.14, 0.31),
            exhaust=(2.1e-5, 6.4e-5, 2.3e-4),
            life=(268.4, 365.0, 365.0),
            largest=(2.5, "L", "2.5 L"),
            reasons=[
                "Held well: at the end of the label's life the exhaust stands at 0.02 % of the limit at most.",
                "A broken 2.5 L bottle is borne by a filter of any age up to 268 days; after that the room would "
                "pass the 15-minute limit.",
            ],
            spill=_spill("2.5 L", 9.2, 0.11, 0.31),
            visibility=_lamps(both, both),
        ),
        _substance(
            "67-64-1",
            "3 × 2.5 L",
            [_limit(500, "ppm", "demo-a", "TWA", "table 1, row 67-64-1")],
            grams=(0.5, 1.1, 2.4),
            exhaust=(3.0e-4, 7.0e-4, 1.6e-3),
            life=(365.0, 365.0, 365.0),
            largest=(2.5, "L", "2.5 L, if a spill is cleaned up within 15 minutes"),
            verdict="approved with conditions",
            reasons=[
                "Passes the carbon within days, and needs no filter in normal storage: unfiltered it reaches 0.8 % "
                "of the limit.",
                "A broken 2.5 L bottle with the fan stopped reaches 25 % of the lower flammable limit after 16 "
                "minutes: clean up within 15.",
            ],
            spill=_spill("2.5 L", 31.0, 0.14, 0.52, "Fan stopped: clean up within 15 minutes."),
            visibility=_lamps(both, (True, True, True)),
        ),
        _substance(
            "67-63-0",
            "2 × 1 L",
            [
                _limit(400, "ppm", "demo-a", "TWA", "table 1, row 67-63-0"),
                _limit(500, "ppm", "demo-a", "STEL", "table 1, row 67-63-0"),
            ],
            grams=(0.04, 0.1, 0.24),
            exhaust=(6e-6, 1.9e-5, 5.5e-5),
            life=(365.0, 365.0, 365.0),
            largest=(2.5, "L", "2.5 L"),
            reasons=[
                "Emits too little to need the filter in normal storage; a broken bottle is borne all year."
            ],
            spill=_spill("1 L", 5.0, 0.04, 0.06),
            visibility=_lamps((False, True, True), (False, True, True)),
        ),
        _substance(
            "141-78-6",
            "1 L",
            [_limit(200, "ppm", "demo-a", "TWA", "table 1, row 141-78-6")],
            grams=(0.03, 0.08, 0.2),
            exhaust=(1.1e-5, 4e-5, 1.3e-4),
            life=(331.0, 365.0, 365.0),
            largest=(2.5, "L", "2.5 L"),
            reasons=[
                "Held for 331 days at least; then its broken bottle would pass the room's 15-minute limit."
            ],
            spill=_spill("1 L", 11.0, 0.08, 0.2),
            visibility=_lamps((False, True, True), (False, True, True)),
        ),
        _substance(
            "64-17-5",
            "4 × 1 L",
            [_limit(1000, "ppm", "demo-a", "TWA", "table 1, row 64-17-5")],
            grams=(0.07, 0.17, 0.4),
            exhaust=(2e-5, 5e-5, 1.1e-4),
            life=(365.0, 365.0, 365.0),
            largest=(5.0, "L", "5 L"),
            reasons=["Emits too little to need the filter in normal storage."],
            spill=_spill("1 L", 4.0, 0.05, 0.03),
            visibility=_lamps((False, True, True), (False, False, True)),
        ),
        _substance(
            "64-19-7",
            "2 × 500 mL",
            [
                _limit(10, "ppm", "demo-a", "TWA", "table 1, row 64-19-7"),
                _limit(15, "ppm", "demo-b", "STEL", "page 3"),
            ],
            grams=(0.004, 0.011, 0.03),
            exhaust=(2.2e-4, 8e-4, 2.9e-3),
            life=(214.7, 302.0, 365.0),
            largest=(0.5, "L", "500 mL"),
            verdict="approved with conditions",
            reasons=[
                "Governs the filter's life: after 215 days a broken 500 mL bottle could pass the 15-minute limit "
                "of the room.",
                "Must stand apart from the solvents and from sulphuric acid: each on its own tray.",
            ],
            spill=_spill("500 mL", 0.9, 0.01, 0.47),
            visibility=_lamps((False, False, True), (False, False, False)),
            check_point="exhaust grille, indicator tube for acetic acid, 10 strokes",
        ),
        _substance(
            "7664-93-9",
            "1 L",
            [
                _limit(
                    0.05,
                    "mg/m³",
                    "demo-a",
                    "TWA",
                    "table 1, row 7664-93-9",
                    fraction="thoracic",
                    measured_as="mist",
                )
            ],
            grams=(0.0, 0.0, 0.0),
            exhaust=(0.0, 0.0, 0.0),
            life=(365.0, 365.0, 365.0),
            largest=(2.5, "L", "2.5 L"),
            reasons=["Gives off no vapour that counts; its neighbours are the question."],
            check_point="eye: tray dry, cap tight",
        ),
        _substance(
            "7758-97-6",
            "100 g",
            [
                _limit(
                    0.01,
                    "mg/m³",
                    "demo-a",
                    "TWA",
                    "table 1, row 7758-97-6",
                    measured_as="Cr",
                    notations=["carcinogen"],
                )
            ],
            grams=(1e-7, 1e-6, 1e-5),
            exhaust=(1e-9, 1e-8, 1.2e-7),
            life=(365.0, 365.0, 365.0),
            largest=(1.0, "kg", "1 kg"),
            verdict="approved with conditions",
            reasons=[
                "A powder: the particulate filter decides. Opened and weighed elsewhere, never inside the cabinet."
            ],
            check_point="eye: no dust on shelf or jar",
        ),
    ]


#: key, row, name as written, CAS, amount, count, concentration, state, closure, opened, diameter, height [m], kind, shelf
ROWS: list[tuple[str, int, str, str, str, int, str, str, str, float, float, str, int]] = [
    (
        "r2",
        2,
        "Toluene, reagent",
        "108-88-3",
        "2.5 L",
        2,
        "",
        "liquid",
        "screw cap with liner",
        0.15,
        0.30,
        "flammable",
        0,
    ),
    (
        "r3",
        3,
        "Acetone",
        "67-64-1",
        "2.5 L",
        3,
        "",
        "liquid",
        "screw cap with liner",
        0.15,
        0.30,
        "flammable",
        0,
    ),
    (
        "r4",
        4,
        "Isopropyl alcohol",
        "67-63-0",
        "1 L",
        2,
        "",
        "liquid",
        "screw cap with liner",
        0.10,
        0.23,
        "flammable",
        1,
    ),
    (
        "r5",
        5,
        "Ethyl acetate",
        "141-78-6",
        "1 L",
        1,
        "",
        "liquid",
        "screw cap with liner",
        0.10,
        0.23,
        "flammable",
        1,
    ),
    (
        "r6",
        6,
        "Ethanol 96 %",
        "64-17-5",
        "1 L",
        4,
        "96 %",
        "solution",
        "screw cap without liner",
        0.10,
        0.23,
        "flammable",
        1,
    ),
    (
        "r7",
        7,
        "Acetic acid, glacial",
        "64-19-7",
        "500 mL",
        2,
        "",
        "liquid",
        "screw cap with liner",
        0.08,
        0.18,
        "acid",
        2,
    ),
    (
        "r8",
        8,
        "Sulphuric acid 98 %",
        "7664-93-9",
        "1 L",
        1,
        "98 %",
        "solution",
        "vented cap",
        0.10,
        0.23,
        "acid",
        2,
    ),
    (
        "r9",
        9,
        "Lead chromate",
        "7758-97-6",
        "100 g",
        1,
        "",
        "solid",
        "screw cap with liner",
        0.06,
        0.10,
        "toxic",
        2,
    ),
    (
        "r10",
        10,
        "Toluene, wash",
        "108-88-3",
        "250 mL",
        2,
        "",
        "liquid",
        "snap cap",
        0.07,
        0.14,
        "flammable",
        1,
    ),
    (
        "r11",
        11,
        "Acetone, wash bottle",
        "67-64-1",
        "500 mL",
        2,
        "",
        "liquid",
        "open",
        0.08,
        0.20,
        "flammable",
        1,
    ),
]
SHELVES: list[dict[str, Any]] = [
    {"compartment": "A", "shelf": "1", "height_m": 0.10, "width_m": 0.90, "depth_m": 0.42, "clear_height_m": 0.45,
     "trays": 1, "tray_litres": 11.0, "load_kg": 16.4},
    {"compartment": "A", "shelf": "2", "height_m": 0.60, "width_m": 0.90, "depth_m": 0.42, "clear_height_m": 0.40,
     "trays": 2, "tray_litres": 5.0, "load_kg": 13.9},
    {"compartment": "B", "shelf": "1", "height_m": 1.10, "width_m": 0.90, "depth_m": 0.42, "clear_height_m": 0.40,
     "trays": 3, "tray_litres": 3.0, "load_kg": 5.2},
]  # fmt: skip


def _shelves() -> list[ShelfRecord]:
    shelves = [cast(ShelfRecord, {**shelf, "placed": []}) for shelf in SHELVES]
    spots: list[list[tuple[float, float]]] = [
        [(0.10 + 0.17 * i, 0.12) for i in range(5)],
        [(0.08 + 0.105 * (i % 8), 0.32 if i < 8 else 0.12) for i in range(11)],
        [(0.07, 0.20), (0.18, 0.20), (0.42, 0.20), (0.72, 0.20)],
    ]
    label = 0
    for key, _, _, _, _, count, _, _, _, diameter, height, kind, where in ROWS:
        for number in range(1, count + 1):
            label += 1
            x, y = spots[where].pop(0)
            shelves[where]["placed"].append(
                cast(
                    PlacedRecord,
                    {"container": key, "copy": number, "label": str(label), "x_m": x, "y_m": y,
                     "diameter_m": diameter, "height_m": height, "kind": kind},
                )
            )  # fmt: skip
    return shelves


def _containers() -> list[ContainerRecord]:
    verdicts = {item["cas"]: item["verdict"] for item in _substances()}
    trays = {"r7": "tray 1", "r8": "tray 2", "r9": "tray 3"}
    found: list[ContainerRecord] = []
    for key, row, name, cas, amount, count, strength, state, closure, _, _, _, where in ROWS:
        shelf = SHELVES[where]
        place = f"compartment {shelf['compartment']}, shelf {shelf['shelf']}"
        if key in trays:
            place += f", {trays[key]}"
        found.append(
            cast(
                ContainerRecord,
                {"key": key, "row": row, "name": name, "cas": cas, "amount": amount, "count": count,
                 "concentration": strength, "state": state, "closure": closure, "note": "", "known": True,
                 "verdict": verdicts[cas], "place": place},
            )
        )  # fmt: skip
    return found


def _conflicts() -> list[ConflictRecord]:
    return [
        {
            "cas": ["64-19-7", "7664-93-9"],
            "names": ["Acetic acid", "Sulphuric acid"],
            "containers": ["r7", "r8"],
            "hazard": "heat",
            "consequence": "Mixing gives off heat and can spatter.",
            "source": "Invented compatibility chart, group 2 against group 3",
            "severity": "separate tray",
            "solved": True,
            "mend": "Each on its own tray.",
        },
        {
            "cas": ["7664-93-9", "67-64-1"],
            "names": ["Sulphuric acid", "Acetone"],
            "containers": ["r8", "r3"],
            "hazard": "heat, polymerisation",
            "consequence": "Mixing gives off much heat; the solvent can boil and catch fire.",
            "source": "Invented compatibility chart, group 2 against group 19",
            "severity": "separate compartment",
            "solved": True,
            "mend": "Acid in compartment B, solvents in compartment A.",
        },
        {
            "cas": ["7758-97-6", "64-17-5"],
            "names": ["Lead chromate", "Ethanol"],
            "containers": ["r9", "r6"],
            "hazard": "oxidiser and fuel",
            "consequence": "A weak oxidiser beside a flammable liquid.",
            "source": "Invented compatibility chart, group 44 against group 4",
            "severity": "separate tray",
            "solved": True,
            "mend": "Lead chromate on its own tray in compartment B.",
        },
    ]


def _unsolved() -> ConflictRecord:
    return {
        "cas": ["7664-93-9", "67-63-0"],
        "names": ["Sulphuric acid", "Propan-2-ol"],
        "containers": ["r8", "r4"],
        "hazard": "heat",
        "consequence": "Mixing gives off much heat; the alcohol can boil and catch fire.",
        "source": "Invented compatibility chart, group 2 against group 4",
        "severity": "not in one cabinet",
        "solved": False,
        "mend": "Keep the sulphuric acid in the cupboard for acids.",
    }


def _curve(cas: str, name: str, start: float, end: float, middle: float) -> CurveRecord:
    """A smooth rise, invented: an S-curve in the logarithm, from `start` to `end` about `middle` days."""
    days = [365.0 * i / 60 for i in range(61)]
    rise = [1 / (1 + math.exp(-(day - middle) / 35)) for day in days]
    central = [start * (end / start) ** share for share in rise]
    return {
        "cas": cas,
        "name": name,
        "days": days,
        "p05": [value / (1.8 + share) for value, share in zip(central, rise, strict=True)],
        "p50": central,
        "p95": [value * (2.0 + 1.6 * share) for value, share in zip(central, rise, strict=True)],
    }


def _clocks() -> list[ClockRecord]:
    return [
        {"name": "limit", "days": _interval(None, None, None), "governing": "", "governing_name": "",
         "words": "In normal storage the exhaust stays under 1 % of every limit for the whole year that was computed."},
        {"name": "reserve", "days": _interval(214.7, 302.0, 365.0), "governing": "64-19-7", "governing_name": "Acetic acid",
         "words": "From then on a broken 500 mL bottle of acetic acid could pass the room's 15-minute limit."},
        {"name": "saturation", "days": _interval(248.0, 331.0, None), "governing": "108-88-3", "governing_name": "Toluene",
         "words": "The outlet reaches 10 % of the inlet for toluene, most of it from the room's own air."},
        {"name": "age", "days": _interval(365.0, 365.0, 365.0), "governing": "", "governing_name": "",
         "words": "The maker's longest interval is a year (common practice)."},
    ]  # fmt: skip


def sample_record() -> Record:
    """A complete invented record: approved with conditions, eight substances, twenty containers, three shelves."""
    record: Record = {
        "schema": "stillroom-record/1",
        "number": "V-2026-1104-7C3F",
        "title": "Paper conservation workshop, cabinet by the north window",
        "invented": True,
        "date": "2026-11-04",
        "valid_until": "2027-06-06",
        "seed": 1,
        "draws": 1000,
        "verdict": "approved with conditions",
        "verdict_words": [
            "The twenty containers of this inventory may be kept in this cabinet under the four conditions below.",
            "In normal storage the exhaust stays under 0.3 % of every exposure limit.",
            "The filter is to be replaced after 214 days: from then on it might no longer take a broken bottle of "
            "acetic acid.",
        ],
        "substances": _substances(),
        "mixture_index": _interval(6e-4, 1.7e-3, 4.8e-3),
        "room_mixture_index": _interval(2e-4, 5e-4, 1.5e-3),
        "service_life_days": _interval(214.7, 302.0, 365.0),
        "label_life_days": 214.0,
        "life_ends": "2027-06-06",
        "governing": "64-19-7",
        "governing_words": "Acetic acid governs, by the reserve for a broken 500 mL bottle.",
        "clocks": _clocks(),
        "conflicts": _conflicts(),
        "containers": _containers(),
        "placement": {
            "shelves": _shelves(),
            "not_placed": [],
            "words": [
                "Heavy bottles and liquids stand low; acids stand in compartment B, each on its own tray."
            ],
        },
        "conditions": [
            "Clean up any spill within 15 minutes; with the fan stopped, leave the room first.",
            "Keep the fan running day and night.",
            "Keep the acetic acid, the sulphuric acid and the lead chromate on their own trays in compartment B.",
            "Open and weigh the lead chromate elsewhere.",
        ],
        "cautions": [
            "This is a decision aid. Local codes, the manufacturer's tests, and licensed or competent persons prevail.",
            "The cabinet is not fire-rated. Flammable liquids beyond the site's rule belong in a fire-rated cupboard.",
        ],
        "assumptions": [
            "Screw caps with a liner let 10 to 100 mg of a solvent a day through (from memory).",
            "The seal lets 0.01 to 0.3 % of the air pass by the filter (estimated).",
            "A spill is cleaned up within 15 minutes.",
            "The room's own air holds 0.3 mg/m³ of toluene-like vapours, day and night (estimated).",
        ],
        "curves": [
            _curve("index", "Mixture index", 2e-4, 1.8e-3, 190),
            _curve("64-19-7", "Acetic acid", 4e-5, 9e-4, 205),
            _curve("67-64-1", "Acetone", 6.9e-4, 7e-4, 10),
            _curve("108-88-3", "Toluene", 8e-6, 7e-5, 230),
        ],
        "room": {
            "name": "Workshop 1.14",
            "volume_m3": 62.0,
            "air_changes_per_h": 6.0,
            "temperature_C": 22.0,
            "relative_humidity": 0.45,
            "backgrounds": [{"cas": "108-88-3", "name": "Toluene", "mg_m3": 0.3}],
            "words": "62 m³, 6 air changes an hour, 22 °C, 45 % relative humidity, 0.3 mg/m³ of toluene in its air.",
        },
        "cabinet": {
            "name": "Cabinet by the north window",
            "flow_m3_h": 180.0,
            "filters": [
                "particulate filter, ISO 29463 class ISO 45 H",
                "granular coconut carbon, 8.0 kg",
                "impregnated carbon for acid gases, 2.0 kg",
            ],
            "seal_bypass": {"p05": 1e-4, "p50": 5e-4, "p95": 3e-3},
            "detector": "Metal-oxide sensor behind the first bed; it beeps and its lamp turns on.",
            "words": "180 m³/h through a particulate filter, 8.0 kg of coconut carbon and 2.0 kg of impregnated carbon.",
        },
        "rules": {
            "Exhaust criterion": "1 % of the limit in normal storage",
            "Required filter interval": "180 days",
            "Clean-up time": "15 minutes",
            "Flammable liquids, whole cabinet": "at most 227 L",
        },
        "limit_lists": [
            {"key": key, "title": title, "edition": edition} for key, (title, edition) in LISTS.items()
        ],
        "limit_ordering": "strictest of the lists chosen",
        "visit": {
            "next_visit": "2027-02-19",
            "interval_days": 107.0,
            "rule": "Half the cautious life, six months at most.",
        },
        "reading": {
            "file": "workshop.csv",
            "encoding": "UTF-8",
            "separator": "semicolon",
            "decimal mark": "point",
            "name": "Chemical name",
            "cas": "CAS No.",
            "amount": "Size",
            "count": "Qty",
        },
        "warnings": ["Row 11: an open wash bottle; close it whenever it is not in the hand."],
        "sources": [
            "Invented list A, workplace exposure limits, 2024",
            "Invented list B, recommended limits, 2022",
            "Invented compatibility chart, second edition",
            "Common practice in the trade, no source",
            "A value from memory, not checked against a source",
        ],
        "versions": {"stillroom": "0.1.0", "model": "1", "media": "2026-11-01", "limits": "2026-11-01"},
        "input_sha256": "7c3fb1d0a94e25886f0e3c91d2b7a65f4e8812903dcb67a1f5e04c2b9a7d3e18",
        "signature": None,
    }
    return copy.deepcopy(record)


def approved_record() -> Record:
    """The same without conditions."""
    record = sample_record()
    record["verdict"] = "approved"
    record["verdict_words"] = [
        "The containers of this inventory may be kept in this cabinet.",
        "In normal storage the exhaust stays under 0.3 % of every exposure limit.",
    ]
    record["conditions"] = []
    record["conflicts"] = record["conflicts"][:2]
    for substance in record["substances"]:
        substance["verdict"] = "approved"
    return record


def refused_record() -> Record:
    """A refusal: a hydrogen cylinder and a bottle with no label stand in the inventory, and neither has a place."""
    record = sample_record()
    record["verdict"] = "not approved"
    record["verdict_words"] = [
        "This inventory must not be kept in this cabinet.",
        "Hydrogen is not held by carbon and must not stand in a cabinet that gives its air back to the room.",
        "The contents of one bottle are unknown.",
    ]
    first: dict[str, Any] = {
        "key": "r12", "row": 12, "name": "Hydrogen cylinder", "cas": "1333-74-0", "amount": "10 L", "count": 1,
        "concentration": "", "state": "gas", "closure": "not stated", "note": "", "known": True,
        "verdict": "not approved", "place": "",
    }  # fmt: skip
    second = {**first, "key": "r13", "row": 13, "name": "brown bottle, no label", "cas": "", "amount": "500 mL",
              "state": "unknown", "known": False, "verdict": "cannot tell"}  # fmt: skip
    record["containers"] += cast(list[ContainerRecord], [first, second])
    record["placement"]["not_placed"] = ["r12", "r13"]
    record["placement"]["words"] += [
        "Row 12, hydrogen cylinder: gas cylinders are not stored in such a cabinet.",
        "Row 13, brown bottle: contents unknown.",
    ]
    record["conflicts"].append(_unsolved())
    record["label_life_days"] = None
    record["life_ends"] = ""
    record["service_life_days"] = _interval(None, None, None)
    record["substances"].append(
        cast(
            SubstanceRecord,
            {
                **copy.deepcopy(record["substances"][0]),
                "cas": "1333-74-0",
                "name": "Hydrogen",
                "containers": "10 L",
                "limit": None,
                "limits_all": [],
                "verdict": "not approved",
                "reasons": ["Carbon does not hold hydrogen, and the gas is flammable. Keep it outdoors or in a "
                            "ventilated gas cabinet that is led outside."],
                "emission_g_per_day": UNKNOWN,
                "exhaust_fraction_of_limit": UNKNOWN,
                "exhaust_fraction_unfiltered": UNKNOWN,
                "room_fraction_of_limit": UNKNOWN,
                "service_life_days": UNKNOWN,
                "largest_amount": None,
                "largest_amount_unit": "",
                "largest_amount_words": "none",
                "spill": None,
                "visibility": [],
                "check_point": "",
            },
        )
    )  # fmt: skip
    return record


def unsure_record() -> Record:
    """Cannot tell: a substance with no limit and no surrogate."""
    record = refused_record()
    record["verdict"] = "cannot tell"
    record["verdict_words"] = [
        "The contents of one bottle are unknown: nothing can be said for the whole cabinet."
    ]
    return record


def signed_record() -> Record:
    """The approval, signed."""
    record = approved_record()
    record["signature"] = {
        "name": "Invented Person",
        "meaning": "I have checked this record and approve the storage that it describes.",
        "time_utc": "2026-11-04T15:20:00Z",
    }
    return record


def long_record(*, containers: int = 150, substances: int = 60) -> Record:
    """A large cabinet: for page breaks and repeated headings. All invented."""
    record = sample_record()
    kinds = record["substances"]
    record["substances"] = []
    for index in range(substances):
        item = copy.deepcopy(kinds[index % len(kinds)])
        item["name"] = f"{item['name']}, sort {index + 1}"
        record["substances"].append(item)
    rows = record["containers"]
    record["containers"] = []
    for index in range(containers):
        row = copy.deepcopy(rows[index % len(rows)])
        row["key"], row["row"], row["name"] = f"r{index + 2}", index + 2, f"{row['name']}, lot {index + 1}"
        record["containers"].append(row)
    record["conflicts"] = [copy.deepcopy(record["conflicts"][index % 3]) for index in range(25)]
    return record
