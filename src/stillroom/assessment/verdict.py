"""The verdict: every question asked, what cannot stay taken out, and the rest assessed as it would stand."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from stillroom.assessment.case import Case, Subject, gather
from stillroom.assessment.checks import admission, fire, neighbours, normal, reserve, room_load, saturation
from stillroom.assessment.checks.age import age_clock
from stillroom.assessment.checks.spill import largest_container
from stillroom.assessment.checks.weighing import tight_enough, weighed_condition
from stillroom.assessment.numbers import (
    CAUTIOUS,
    MOST_DRAWS,
    SHORTEST_LIFE_DAYS,
    cautious_days,
    cautious_peak,
    draws_wanted,
    ends,
    five_percent,
    percent,
)
from stillroom.assessment.result import (
    Assessment,
    Clock,
    Finding,
    Normal,
    RoomLoad,
    SpillResult,
    SubjectResult,
    Verdict,
    worst,
)
from stillroom.assessment.vapours import Vapours, grid_days, release
from stillroom.assessment.words import assumptions, decision, room_warnings
from stillroom.cabinet.design import Cabinet
from stillroom.emission import partial_pressures
from stillroom.inventory.model import Inventory
from stillroom.media.order_statistics import upper_bound
from stillroom.room.model import Room
from stillroom.segregation.model import Conflict
from stillroom.segregation.plan import Plan
from stillroom.sources import Missing
from stillroom.substances.hazards import peroxide_note
from stillroom.substances.model import Limit

__all__ = ["assess"]

Array = NDArray[np.float64]
_FOR_WHAT_IT_GIVES_OFF = (None, "refused for what it gives off in normal storage, not for its size")
_ON_AN_EDGE = 4_000
"""Draws where the points of fewer would keep a substance and their bounds would not [-] (own choice)."""
_MOST_CELLS = 80_000
"""Draws times vapours that more draws are taken up to [-]: some 26 MB an array over the time grid, and seconds."""
_TIMES_ASKED = 10
"""Who asks for few draws gets no more than so many times as many [-]: the bound is wider then, never softer (own choice)."""


@dataclass(eq=False)
class _Ledger:
    """Findings as they come in, by substance and by container."""

    subjects: dict[str, list[Finding]] = field(default_factory=dict)
    containers: dict[str, list[Finding]] = field(default_factory=dict)
    whole: list[Finding] = field(default_factory=list)

    def on(self, cas: str, finding: Finding | None) -> None:
        if finding is not None:
            self.subjects.setdefault(cas, []).append(finding)

    def at(self, key: str, finding: Finding | None) -> None:
        if finding is not None:
            self.containers.setdefault(key, []).append(finding)

    def place(self, found: dict[str, list[Finding]]) -> None:
        for key, findings in found.items():
            self.containers.setdefault(key, []).extend(findings)

    def refused(self, case: Case) -> frozenset[str]:
        """Keys of containers that cannot stay: their own findings, or those of a substance in them."""
        out = {key for key, found in self.containers.items() if _refuses(found)}
        for subject in case.subjects:
            if _refuses(self.subjects.get(subject.cas, [])):
                out |= {item.key for item in subject.containers}
        return frozenset(out)


@dataclass(frozen=True, eq=False)
class _Physics:
    """One pass over the containers that may stay."""

    case: Case
    vapours: Vapours
    normal: Normal
    inlet: Array
    spills: dict[str, SpillResult]

    @cached_property
    def room_load(self) -> tuple[RoomLoad, ...]:
        return room_load.load_of_room(self.case, self.vapours, self.inlet)

    @cached_property
    def clocks(self) -> tuple[Clock, ...]:
        """The four clocks."""
        size = self.case.draws
        return (
            normal.limit_clock(self.case, self.normal),
            reserve.reserve_clock(self.calling, size),
            saturation.saturation_clock(self.case, self.normal, self.vapours, self.inlet, self.room_load),
            age_clock(self.case.cabinet, size),
        )

    @cached_property
    def life(self) -> Array:
        """The earliest of them in each draw, (size,) [days]."""
        return np.asarray(np.min([clock.days for clock in self.clocks], axis=0))

    @property
    def calling(self) -> list[SpillResult]:
        """The design spills that call on the filter."""
        return [spill for spill in self.spills.values() if reserve.spill_needs_filter(spill)]


@dataclass(frozen=True, eq=False)
class _Refused:
    """A substance for whose sake the filter would surely not last, with what was found of it."""

    findings: tuple[Finding, ...]
    spill: SpillResult | None


def assess(
    inventory: Inventory,
    cabinet: Cabinet,
    room: Room,
    *,
    seed: int = 1,
    draws: int = 1000,
    hand_limits: Sequence[Limit] = (),
) -> Assessment:
    """Decide what may be kept in this cabinet in this room, with reasons.

    Parameters
    ----------
    inventory, cabinet, room :
        As read.
    seed : int
        Same input and seed give the same answer [-].
    draws : int
        Monte Carlo draws to begin with, 100 … 20 000 [-]; more are taken where they do not tell the cautious life.
    hand_limits : sequence of Limit
        Entered by the user.

    Returns
    -------
    Assessment
        `case.draws` is the number that was taken.

    Raises
    ------
    InputError
        Something in the input is wrong; see `case.gather`.
    """
    case = gather(inventory, cabinet, room, seed=seed, draws=draws, hand_limits=hand_limits)
    case = replace(case, subjects=tuple(admission.lend_surrogate(subject, case) for subject in case.subjects))
    conflicts = neighbours.found_conflicts(case)
    sure: dict[str, _Refused] = {}
    while isinstance(answer := _with_so_many_draws(case, conflicts, sure, _TIMES_ASKED * draws), int):
        case = replace(case, draws=answer)
    return answer


def _with_so_many_draws(
    case: Case, conflicts: tuple[Conflict, ...], sure: dict[str, _Refused], most: int
) -> Assessment | int:
    """The answer; or how many draws it takes, where these do not tell the cautious life.

    `sure` keeps what was surely refused for the filter's sake, so that more draws need not find it again; never more than `most`.
    """
    ledger = _Ledger()
    _gate(case, ledger)
    ledger.subjects.update({cas: list(refused.findings) for cas, refused in sure.items()})
    keys = frozenset(item.key for item in case.containers)
    leaving = neighbours.must_leave(conflicts, keys - ledger.refused(case))
    ledger.place(neighbours.sent_away(leaving))
    homeless = list(leaving)
    largest: dict[str, tuple[float | None, str]] = dict.fromkeys(sure, _FOR_WHAT_IT_GIVES_OFF)
    spills = {cas: refused.spill for cas, refused in sure.items() if refused.spill}
    while True:
        settled = _settle(case, ledger, spills, largest, sure, most)
        if isinstance(settled, int):
            return settled
        staying, physics = settled
        plan = neighbours.arrange(staying, conflicts)
        crowded = neighbours.crowded_out(plan)
        ledger.place(crowded)
        if not crowded:
            break  # else what found no place is out, and the rest is assessed again without it
        homeless.extend(crowded)
    plan = neighbours.with_further_places(plan, homeless, case, conflicts)
    ledger.place(neighbours.kept_apart(conflicts, plan))
    ledger.whole.append(fire.quantities(case))
    ledger.whole.append(fire.fan_stopped(staying, physics.vapours))
    loaded = room_load.polluted(physics.room_load, physics.calling, staying)
    ledger.whole.extend([loaded] if loaded else [])
    _life_finding(ledger, physics.life, physics.clocks, staying)
    return _answer(case, staying, ledger, physics, conflicts, plan, spills, largest)


def _refuses(findings: list[Finding]) -> bool:
    return any(finding.verdict in ("not approved", "cannot tell") for finding in findings)


def _gate(case: Case, ledger: _Ledger) -> None:
    """What is refused before anything is computed."""
    for container in case.containers:
        ledger.at(container.key, admission.contents(container))
    for subject in case.subjects:
        refused = admission.refusal(subject)
        ledger.on(subject.cas, refused)
        ledger.on(subject.cas, admission.limit(subject, case))
        if refused is None:
            ledger.on(
                subject.cas,
                admission.medium(subject, case.cabinet.filters, saturated_fraction=_saturated(subject, case)),
            )
        note = peroxide_note(subject.cas)
        if note:
            condition = f"{subject.substance.name}: the dates of opening and of the last peroxide test stand on each bottle."
            ledger.on(subject.cas, Finding("approved with conditions", note, condition=condition))


def _saturated(subject: Subject, case: Case) -> float | None:
    """The richest air over any container of a subject over the criterion [-]; None where any is unknown."""
    fractions: list[float] = []
    for container in subject.containers:
        pressures = partial_pressures(container, temperature=case.room.temperature)
        pressure = pressures.get(subject.cas, Missing("no partial pressure"))
        fraction = admission.saturated_over_criterion(subject, pressure, case)
        if fraction is None:
            return None
        fractions.append(fraction)
    return max(fractions, default=None)


def _settle(
    case: Case,
    ledger: _Ledger,
    spills: dict[str, SpillResult],
    largest: dict[str, tuple[float | None, str]],
    sure: dict[str, _Refused],
    most: int,
) -> tuple[Case, _Physics] | int:
    """Assess what may stay, take out what fails, and assess the rest again until nothing fails.

    Gives the number of draws that it takes instead where these do not tell the cautious life.
    """
    weighed: dict[str, float] = {}
    for _ in range(2 * len(case.subjects) + 1):
        staying = replace(case.without(ledger.refused(case)), weighed=weighed)
        physics = _physics(staying)
        spills.update(physics.spills)
        before = ledger.refused(case)
        _judge(staying, physics, ledger)
        out = ledger.refused(case) - before
        most = min(most, _most_draws(physics.vapours))
        enough = min(_ON_AN_EDGE, most)
        if out and case.draws < enough and _on_an_edge(staying, physics):
            return enough
        for subject in staying.subjects:
            if any(item.key in out for item in subject.containers):
                largest[subject.cas] = _largest(subject, staying, physics)
        if ledger.refused(case) == before:
            wanted = draws_wanted(physics.life, most=most)
            if wanted is not None:
                return wanted
            culprit = _shortens_too_much(staying, physics)
            if culprit is None:
                for subject in staying.subjects:
                    largest[subject.cas] = _largest(subject, staying, physics)
                return staying, physics
            tight = _tight_enough(culprit[0], staying, physics)
            if tight is not None:
                weighed = tight.weighed
                ledger.on(*_held_to_a_loss(culprit[0], tight, physics))
                continue
            if case.draws < enough and _tight_enough(culprit[0], staying, physics, end=five_percent):
                return enough
            ledger.on(*culprit)
            largest[culprit[0]] = _FOR_WHAT_IT_GIVES_OFF
            if upper_bound(physics.life, CAUTIOUS) < SHORTEST_LIFE_DAYS:
                sure[culprit[0]] = _Refused(tuple(ledger.subjects[culprit[0]]), spills.get(culprit[0]))
    raise AssertionError("each pass takes out at least one container")  # pragma: no cover


def _on_an_edge(case: Case, physics: _Physics) -> bool:
    """Whether a substance is refused that the points of the draws, without what they cannot tell, would keep."""
    allowed, result = case.room.rules.criterion_fraction, physics.normal
    sure, plain = ends(sure=True)[1], ends(sure=False)[1]
    stored = {subject.cas for subject in case.subjects}
    rows = [
        *zip(result.cas, result.fraction[0], strict=True),
        *zip(result.dust_cas, result.dust_fraction, strict=True),
    ]
    return any(spill.on_an_edge for spill in physics.spills.values()) or any(
        sure(row) > allowed >= plain(row) for cas, row in rows if cas in stored
    )


def _most_draws(vapours: Vapours) -> int:
    """As many as memory bears [-]."""
    return min(MOST_DRAWS, _MOST_CELLS // max(len(vapours.cas), 1))


def _physics(case: Case) -> _Physics:
    rng = np.random.default_rng(case.seed)
    vapours = release(case, rng)
    result, inlet = normal.normal_storage(case, vapours, grid_days(case.cabinet.max_age_days))
    planned = case.room.rules.required_interval_days
    ages = np.unique([*np.linspace(0.0, planned, 7), min(SHORTEST_LIFE_DAYS, planned)])
    found = {}
    for subject in case.subjects:
        if subject.cas in vapours.missing or subject.criterion is None:
            continue
        spill = reserve.spill_of(subject, case, vapours, inlet, ages)
        if spill is not None:
            found[subject.cas] = spill
    return _Physics(case, vapours, result, inlet, found)


def _judge(case: Case, physics: _Physics, ledger: _Ledger) -> None:
    """Findings of one pass. A finding of an earlier pass of the same kind is replaced."""
    for subject in case.subjects:
        kept = [item for item in ledger.subjects.get(subject.cas, []) if not getattr(item, "passing", False)]
        ledger.subjects[subject.cas] = kept
        why = _missing(subject, physics.vapours)
        if why:
            ledger.on(subject.cas, _Passing("cannot tell", f"What evaporates cannot be told: {why}"))
            continue
        ledger.on(subject.cas, _normal_finding(subject, case, physics))
        spill = physics.spills.get(subject.cas)
        if spill is not None:
            found = reserve.spill_finding(subject, spill, case)
            ledger.on(subject.cas, _Passing(found.verdict, found.reason, found.condition, found.sources))


@dataclass(frozen=True, slots=True)
class _Passing(Finding):
    """A finding that the next pass may replace."""

    passing: bool = True


def _missing(subject: Subject, vapours: Vapours) -> str:
    keys = (subject.cas, *(item.key for item in subject.containers))
    return next((vapours.missing[key] for key in keys if key in vapours.missing), "")


def _normal_finding(subject: Subject, case: Case, physics: _Physics) -> Finding:
    """Normal storage of one substance, on a new filter: the by-pass and what the bed never holds."""
    result, allowed = physics.normal, case.room.rules.criterion_fraction
    if subject.cas in result.dust_cas and subject.cas not in result.cas:
        fraction = cautious_peak(result.dust_fraction[result.dust_cas.index(subject.cas)])
        words = (
            f"Normal storage, cautious end: its dust reaches {percent(fraction)} of its limit at the exhaust."
        )
        return _Passing("not approved" if fraction > allowed else "approved", words)
    if subject.cas not in result.cas:
        return _Passing("approved", "Normal storage: it gives neither vapour nor dust worth counting.")
    place = result.cas.index(subject.cas)
    new = cautious_peak(result.fraction[0, place])
    bare = cautious_peak(result.unfiltered[place])
    words = (
        f"Normal storage, cautious end: {percent(new)} of its limit at the exhaust with a new filter, {percent(bare)} without one; "
        f"{percent(allowed)} is allowed."
    )
    if bare <= allowed:
        words += " It needs no filter in normal storage."
    return _Passing("not approved" if new > allowed else "approved", words)


def _largest(subject: Subject, case: Case, physics: _Physics) -> tuple[float | None, str]:
    """The largest admissible container, and words where there is no number."""
    container = reserve.largest_of(subject)
    if container is None or subject.cas not in physics.spills:
        return None, "not asked: no design spill could be assessed"
    if subject.involatile and subject.properties.phase != "solid":
        return None, "not bounded by vapour; trays and the shelf's load bound it"
    kind = container.amount.kind
    trays = [
        shelf.tray_volume or 0.0 for compartment in case.cabinet.compartments for shelf in compartment.shelves
    ]
    bound = max(trays) / 1.1 if kind == "volume" and max(trays) > 0 else (10e-3 if kind == "volume" else 25.0)
    spill, planned = physics.spills[subject.cas], case.room.rules.required_interval_days
    borne = reserve.borne_days(spill, case)
    age = planned if borne is None else borne
    value = largest_container(
        subject,
        container,
        case,
        physics.vapours,
        physics.inlet,
        age=age,
        minutes=spill.minutes,
        largest=bound,
    )
    if borne is not None:
        value = max(value, container.amount.value)  # what stands there was found to be borne until then
    if value >= bound:
        return value, "bounded by the tray, which holds 110 % of it" if kind == "volume" and max(
            trays
        ) > 0 else ("no spill up to this size passes a limit")
    if value == 0.0:
        return 0.0, f"not even 10 {'mL' if kind == 'volume' else 'g'}"
    words = f"bounded by its design spill, cleaned up within {spill.minutes:g} min"
    if age < planned:
        words += f", on a filter of at most {age:.0f} days"
    return value, words


def _shortens_too_much(case: Case, physics: _Physics) -> tuple[str, Finding] | None:
    """The stored substance for whose sake the filter would not last `SHORTEST_LIFE_DAYS`, if there is one."""
    clocks = physics.clocks
    days = cautious_days(physics.life)
    if days >= SHORTEST_LIFE_DAYS:
        return None
    first = min(clocks, key=lambda clock: cautious_days(clock.days))
    if first.governing not in {subject.cas for subject in case.subjects}:
        return None
    place = physics.normal.cas.index(first.governing) if first.governing in physics.normal.cas else None
    if place is not None and first.name != "reserve":
        stored = np.median(physics.vapours.emission[place]) / physics.vapours.flow.cabinet
        if stored < np.median(physics.vapours.background[place]):
            return None  # the room's own air decides, and taking the bottle out would not mend it
    reason = (
        f"With it the filter would last {int(days)} days at the cautious end ({first.name} clock), less than "
        f"{SHORTEST_LIFE_DAYS:g}: this stack holds it too weakly for what its containers give off. Tighter closures "
        "that are weighed, more carbon, or another cabinet would mend it."
    )
    return first.governing, Finding("not approved", reason)


def _tight_enough(
    cas: str, case: Case, physics: _Physics, *, end: Callable[[Array], float] = cautious_days
) -> Case | None:
    """The case with that substance's bottles held to a weighed loss, where that lets the filter last at that end."""
    if cas in case.weighed:
        return None

    ages = grid_days(case.cabinet.max_age_days)

    def lasts(tried: Case, days: float) -> bool:
        after = int(np.searchsorted(ages, days))
        around = np.unique(
            [0.0, ages[after - 1], ages[after], ages[-1]]
        )  # crossing there as on the whole grid
        vapours = physics.vapours.held_to(cas, tried.weighed[cas])
        result, inlet = normal.normal_storage(tried, vapours, around)
        life = normal.limit_clock(tried, result).days
        if end(life) < days:
            return False
        saturated = saturation.saturation_clock(tried, result, vapours, inlet, ()).days
        return end(np.minimum(life, saturated)) >= days

    wanted = min(case.room.rules.required_interval_days, case.cabinet.max_age_days)
    return tight_enough(cas, case, physics.vapours, lasts, targets=(wanted, SHORTEST_LIFE_DAYS))


def _held_to_a_loss(cas: str, tight: Case, physics: _Physics) -> tuple[str, Finding]:
    subject = next(item for item in tight.subjects if item.cas == cas)
    return cas, weighed_condition(subject, tight, days=cautious_days(physics.life))


def _life_finding(ledger: _Ledger, life: Array, clocks: tuple[Clock, ...], case: Case) -> None:
    days = cautious_days(life)
    if not case.containers:
        return
    if days < SHORTEST_LIFE_DAYS:
        first = min(clocks, key=lambda clock: cautious_days(clock.days))
        reason = (
            f"The filter would last {int(days)} days at the cautious end ({first.name} clock), less than "
            f"{SHORTEST_LIFE_DAYS:g}. More carbon, a cleaner room or less in store would mend it."
        )
        ledger.whole.append(Finding("not approved", reason))
    elif days <= case.cabinet.filters.served_days:
        reason = (
            f"The filter in place has served {case.cabinet.filters.served_days:g} days. With what these have left on it, it lasts "
            f"{int(days)} days in all at the cautious end: it is used up. Put a new one in, and take out what the old one served."
        )
        ledger.whole.append(Finding("not approved", reason))
    elif days < case.room.rules.required_interval_days and days < case.cabinet.max_age_days:
        ledger.whole.append(
            Finding(
                "approved with conditions",
                f"The filter lasts {int(days)} days at the cautious end, less than the {case.room.rules.required_interval_days:g} "
                "days that the site plans with.",
                condition=f"The filter is replaced after {int(days)} days at the latest.",
            )
        )


def _answer(
    case: Case,
    staying: Case,
    ledger: _Ledger,
    physics: _Physics,
    conflicts: tuple[Conflict, ...],
    plan: Plan,
    spills: dict[str, SpillResult],
    largest: dict[str, tuple[float | None, str]],
) -> Assessment:
    """Everything gathered into one answer."""
    clocks, life = physics.clocks, physics.life
    subjects = tuple(
        _subject_result(subject, case, ledger, physics, clocks, spills, largest) for subject in case.subjects
    )
    verdicts: dict[str, Verdict] = {}
    reasons: dict[str, tuple[str, ...]] = {}
    for container in case.containers:
        parts = [part.substance.cas for part in container.components]
        own = ledger.containers.get(container.key, [])
        inside = [finding for cas in parts for finding in ledger.subjects.get(cas, [])]
        verdicts[container.key] = worst([finding.verdict for finding in (*own, *inside)])
        reasons[container.key] = tuple(dict.fromkeys(finding.reason for finding in own))
    groups = (*ledger.subjects.values(), *ledger.containers.values(), ledger.whole)
    findings = [finding for group in groups for finding in group]
    kept_keys = {item.key for item in staying.containers}
    kept_cas = {subject.cas for subject in staying.subjects}
    binding = [
        *(finding for cas, group in ledger.subjects.items() if cas in kept_cas for finding in group),
        *(finding for key, group in ledger.containers.items() if key in kept_keys for finding in group),
        *ledger.whole,
    ]
    conditions = tuple(
        dict.fromkeys(
            finding.condition
            for finding in binding
            if finding.condition and finding.verdict == "approved with conditions"
        )
    )
    verdict = worst([finding.verdict for finding in findings])
    governing = min(clocks, key=lambda clock: (cautious_days(clock.days), clock.name != "age"))
    return Assessment(
        case=case,
        staying=staying,
        verdict=verdict,
        words=decision(case, staying, verdict, verdicts, ledger.whole, life),
        subjects=subjects,
        container_verdicts=verdicts,
        container_reasons=reasons,
        normal=physics.normal,
        clocks=clocks,
        life=life,
        governing=governing.governing or governing.name,
        conflicts=conflicts,
        plan=plan,
        conditions=conditions,
        assumptions=(*assumptions(case, physics.normal), *room_load.load_words(physics.room_load, case)),
        room_load=physics.room_load,
        warnings=(*case.inventory.warnings, *room_warnings(case)),
        sources=tuple(dict.fromkeys(key for finding in findings for key in finding.sources if key)),
    )


def _subject_result(
    subject: Subject,
    case: Case,
    ledger: _Ledger,
    physics: _Physics,
    clocks: tuple[Clock, ...],
    spills: dict[str, SpillResult],
    largest: dict[str, tuple[float | None, str]],
) -> SubjectResult:
    own = [item for container in subject.containers for item in ledger.containers.get(container.key, [])]
    findings = tuple(dict.fromkeys((*ledger.subjects.get(subject.cas, []), *own)))
    spill = spills.get(subject.cas)
    result = physics.normal
    days = clocks[-1].days
    if subject.cas in result.cas:
        fraction = result.fraction[:, result.cas.index(subject.cas)]
        days = np.minimum(days, normal.crossing(result.days, fraction, case.room.rules.criterion_fraction))
    if (
        spill is not None and spill.days.size == days.size
    ):  # what was refused before more draws were taken has fewer
        days = np.minimum(days, spill.days)
    value, words = largest.get(subject.cas, (None, "not asked: it cannot be here"))
    return SubjectResult(
        subject=subject,
        verdict=worst([finding.verdict for finding in findings]),
        findings=findings,
        spill=spill,
        days=days,
        largest=value,
        largest_words=words,
    )
