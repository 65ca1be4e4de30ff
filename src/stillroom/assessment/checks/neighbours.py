"""What may stand beside what, and where everything stands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from stillroom.assessment.case import Case
from stillroom.assessment.result import Finding
from stillroom.segregation import conflicts as conflicts_of
from stillroom.segregation import fewest_out, further, place, said
from stillroom.segregation.model import AIR, Conflict
from stillroom.segregation.plan import Plan

__all__ = [
    "arrange",
    "crowded_out",
    "found_conflicts",
    "kept_apart",
    "must_leave",
    "sent_away",
    "with_further_places",
]


def found_conflicts(case: Case) -> tuple[Conflict, ...]:
    """Every conflict among the known containers, those that cannot stay included."""
    return conflicts_of(tuple(item for item in case.containers if item.known))


def must_leave(conflicts: tuple[Conflict, ...], keys: frozenset[str]) -> dict[str, tuple[Conflict, ...]]:
    """Fewest containers (greedily) that must go elsewhere so that no two of `keys` that may not share a cabinet stay.

    Maps key to reasons.
    """
    return fewest_out(
        [item for item in conflicts if item.severity in AIR and {item.first, item.second} <= keys]
    )


def crowded_out(plan: Plan) -> dict[str, list[Finding]]:
    """Refusals by container key: fewest that leave so that no unsolved conflict is left, and what found no place."""
    found: dict[str, list[Finding]] = {}
    for key, reasons in fewest_out(list(plan.unsolved)).items():
        for words in dict.fromkeys(
            f"Beside {_other(item, key)}: {item.consequence}. No place here keeps them apart. {item.mend}"
            for item in reasons
        ):
            found.setdefault(key, []).append(Finding("not approved", words, sources=(reasons[0].source,)))
    for key, reason in plan.not_placed:
        found.setdefault(key, []).append(Finding("not approved", f"It finds no place: {reason}"))
    return found


def arrange(case: Case, conflicts: tuple[Conflict, ...], *, seconds: float = 1.5) -> Plan:
    """A shelf plan for the containers of `case`, keeping apart what `conflicts` names.

    Parameters
    ----------
    case : Case
    conflicts : tuple of Conflict
        Those that concern containers not in the case are left out.
    seconds : float
        Time that the search may take [s].
    """
    keys = {item.key for item in case.containers}
    mine = tuple(item for item in conflicts if {item.first, item.second} <= keys)
    known = tuple(item for item in case.containers if item.known)
    return place(known, case.cabinet, mine, seed=case.seed, seconds=seconds)


def with_further_places(plan: Plan, keys: Sequence[str], case: Case, conflicts: tuple[Conflict, ...]) -> Plan:
    """The plan, with words that say which further compartment or cabinet would take `keys`.

    Parameters
    ----------
    plan : Plan
        Of what stays.
    keys : sequence of str
        Containers that are out for their neighbours or for want of room alone.
    case : Case
    conflicts : tuple of Conflict
        Among all containers.
    """
    places = further(keys, conflicts, {item.container for item in plan.placed})
    names = {item.key: item.name for item in case.containers}
    return replace(plan, words=(*plan.words, *said(places, names)))


def sent_away(leaving: dict[str, tuple[Conflict, ...]]) -> dict[str, list[Finding]]:
    """Refusals by container key, of what may not share a cabinet with what stays."""
    return {
        key: [
            Finding("not approved", words, sources=tuple(dict.fromkeys(item.source for item in reasons)))
            for words in dict.fromkeys(
                f"Not in one cabinet with {_other(item, key)}: {item.consequence}. {item.mend}"
                for item in reasons
            )
        ]
        for key, reasons in leaving.items()
    }


def _other(conflict: Conflict, key: str) -> str:
    return conflict.names[1] if key == conflict.first else conflict.names[0]


def kept_apart(conflicts: tuple[Conflict, ...], plan: Plan) -> dict[str, list[Finding]]:
    """What binds a container to the plan: one finding for all neighbours that share a consequence.

    The plan leaves no conflict unsolved; `crowded_out` has seen to that.
    """
    placed = {item.container for item in plan.placed}
    names: dict[tuple[str, str, str, str], list[str]] = {}
    for conflict in conflicts:
        if {conflict.first, conflict.second} <= placed:
            for key in (conflict.first, conflict.second):
                what = (key, conflict.consequence, conflict.severity, conflict.source)
                names.setdefault(what, []).append(_other(conflict, key))
    findings: dict[str, list[Finding]] = {}
    for (key, consequence, severity, source), others in names.items():
        words = f"Apart from {', '.join(dict.fromkeys(others))} ({severity}): {consequence}."
        condition = "Containers stand where the shelf plan puts them."
        finding = Finding("approved with conditions", words, condition=condition, sources=(source,))
        findings.setdefault(key, []).append(finding)
    return findings
