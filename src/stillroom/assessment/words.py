"""The decision and the assumptions in words."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from stillroom.assessment.case import Case, limit_in_air
from stillroom.assessment.numbers import cautious_days, five_percent
from stillroom.assessment.result import Finding, Normal, Verdict
from stillroom.media.model import Served
from stillroom.sources import Sourced
from stillroom.substances import name_of
from stillroom.substances.limits import choose
from stillroom.substances.properties import properties as properties_of
from stillroom.units import show

__all__ = ["CAUTIONS", "assumptions", "decision", "room_warnings", "served_words"]

Array = NDArray[np.float64]

CAUTIONS = (
    "This is a decision aid. Local codes, the manufacturer's tests and licensed or competent persons prevail.",
    "Codes differ on giving filtered air back to a room: check the one that binds you. No code is claimed to be met.",
    "Such a cabinet is not fire-rated unless its maker proves it, and it is no place to work in.",
    "The numbers hold for the inventory, the room and the filters stated here. Any change: ask, and validate again.",
    "While the fan stands still the filter does nothing: keep the doors closed and open nothing.",
)


def decision(
    case: Case,
    staying: Case,
    verdict: Verdict,
    containers: dict[str, Verdict],
    whole: list[Finding],
    life: Array,
) -> tuple[str, ...]:
    """The decision in a few sentences, gravest first."""
    out = [item for item in case.containers if containers[item.key] in ("not approved", "cannot tell")]
    words = []
    if verdict == "not approved":
        words.append("This inventory is not approved as it stands.")
    elif verdict == "cannot tell":
        words.append("No approval: part of the question cannot be answered. Unknown is never approved.")
    elif verdict == "approved with conditions":
        words.append("Approved as long as every condition below is kept.")
    else:
        words.append("Approved as described here.")
    if out:
        names = "; ".join(dict.fromkeys(f"{item.name} (row {item.row})" for item in out))
        words.append(f"What cannot stay: {names}.")
    words.extend(finding.reason for finding in whole if finding.verdict in ("not approved", "cannot tell"))
    if staying.containers:
        low, point = cautious_days(life), five_percent(life)
        middle, high = np.quantile(life, [0.5, 0.95])
        rest = "For what may stay, the filter" if out else "The filter"
        words.append(
            f"{rest} is expected to serve {int(low)} days at the cautious 5 % end (middle {middle:.0f}, 95 % end {high:.0f})."
        )
        if int(low) < int(point):
            words.append(
                f"{life.size} draws put the 5 % point at {int(point)} days; with 95 % confidence it is not under {int(low)}, which decides."
            )
    if out and staying.containers:
        words.append("The numbers, the label and the plan below describe what may stay, and only that.")
    return tuple(words)


def assumptions(case: Case, normal: Normal) -> tuple[str, ...]:
    """What was taken for granted, so that a reader can object."""
    room, rules = case.room, case.room.rules
    words = [
        f"Exhaust in normal storage at or under {show(100 * rules.criterion_fraction)} % of each limit and of the additive mixture "
        "index (the index: 29 CFR 1910.1000(d)(2); the one per cent: common practice, no source).",
        f"A spill is cleaned up within {rules.cleanup_minutes:g} minutes unless a condition says sooner; where no short-term limit is "
        f"published, {rules.excursion_factor:g} times the 8-hour value holds over 15 minutes (common practice, no source).",
        f"Room: {room.volume:g} m³, {room.air_changes_per_h:g} air changes an hour, {room.temperature - 273.15:.0f} °C, "
        f"{room.humidity_words}, well mixed.",
    ]
    if not room.backgrounds_stated:
        words.append(
            "The room's own vapours were not stated: 0.3 mg/m³ counted as toluene, within a factor of three, was assumed "
            "(from memory)."
        )
    elif not room.backgrounds:
        words.append("The room was stated to bring no vapours of its own.")
    closures = [item for item in case.containers if item.closure == "not stated"]
    if closures:
        words.append(
            f"Closures of {len(closures)} rows were not stated: a wide interval over usual closures was taken."
        )
    openings = [item for item in case.containers if not item.opened_stated]
    if openings:
        words.append(f"Openings of {len(openings)} rows were not stated: one a week was taken.")
    bypass = case.cabinet.filters.seal_bypass
    words.append(
        f"Of the air, {100 * bypass.p05:.2g} to {100 * bypass.p95:.2g} % (middle {100 * bypass.p50:.2g} %) goes past the seals: {bypass.note or bypass.source}."
    )
    served = case.cabinet.filters.served
    if served:
        words.append(
            f"The filter in place {'; it '.join(served_words(period) for period in served)}. That counts as fed in its first "
            f"{case.cabinet.filters.served_days:g} days; a vapour is held, and keeps others off, by the higher of what it came with "
            "then and what it comes with now; days of its life are counted from its first."
        )
    words.extend(normal.notes)
    words.append(
        f"{case.draws} draws, seed {case.seed}; intervals are 5 and 95 % of the draws; the verdict uses the cautious "
        "end, less what so many draws cannot tell (95 % confidence, order statistics)."
    )
    return tuple(words)


def served_words(period: Served) -> str:
    """What the filter was fed with for a time."""
    what = ", ".join(f"{name_of(cas)} {show(mg_m3)} mg/m³" for cas, mg_m3 in period.vapours)
    return f"has served {period.days:g} days with {what} (within a factor of {period.uncertainty_factor:g})"


def room_warnings(case: Case) -> tuple[str, ...]:
    """What the stated air of the room gives cause to look at: over a limit, or of a vapour that could not be counted."""
    words = []
    for entry in case.room.backgrounds:
        known = properties_of(entry.cas, temperature=case.room.temperature)
        if not isinstance(known.molar_mass, Sourced):
            words.append(
                f"The room's {entry.cas} could not be counted as a load of the filter: {known.molar_mass.reason}."
            )
            continue
        limit = choose(entry.cas, lists=case.list_keys, ordering=case.ordering).criterion
        allowed = limit_in_air(limit, known, case.room) if limit is not None else None
        if (
            limit is not None
            and allowed is not None
            and entry.mg_m3 * 1e-3 / known.molar_mass.value > allowed
        ):
            words.append(
                f"The room's own air is stated to hold {show(entry.mg_m3)} mg/m³ of {entry.cas}, more than its limit of "
                f"{limit.value:g} {limit.unit} ({limit.list}): people are exposed whatever the cabinet does. Mend that first."
            )
    return tuple(words)
