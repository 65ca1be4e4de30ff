"""What may stand beside what, and where everything stands."""

from __future__ import annotations

from stillroom.assessment.case import Case
from stillroom.assessment.result import Finding
from stillroom.segregation import conflicts as conflicts_of
from stillroom.segregation import place
from stillroom.segregation.model import Conflict
from stillroom.segregation.plan import Plan

__all__ = ["arrange", "conflict_findings"]


def arrange(case: Case, *, seconds: float = 1.5) -> tuple[tuple[Conflict, ...], Plan]:
    """The conflicts among the containers, and a shelf plan that solves what a plan can.

    Parameters
    ----------
    case : Case
    seconds : float
        Time that the search may take [s].
    """
    known = tuple(item for item in case.containers if item.known)
    found = conflicts_of(known)
    return found, place(known, case.cabinet, found, seed=case.seed, seconds=seconds)


def conflict_findings(conflicts: tuple[Conflict, ...], plan: Plan) -> dict[str, list[Finding]]:
    """Findings by container key: unsolved conflicts refuse, solved ones bind to the plan, what does not fit is refused."""
    findings: dict[str, list[Finding]] = {}
    unsolved = set(plan.unsolved)
    for conflict in conflicts:
        names = " and ".join(conflict.names)
        if conflict in unsolved:
            finding = Finding(
                "not approved",
                f"{names}: {conflict.consequence} No place in this cabinet keeps them apart. {conflict.mend}",
                sources=(conflict.source,),
            )
        else:
            finding = Finding(
                "approved with conditions",
                f"{names}: {conflict.consequence} The shelf plan keeps them apart ({conflict.severity}).",
                condition="Containers stand where the shelf plan puts them.",
                sources=(conflict.source,),
            )
        for key in conflict.containers:
            findings.setdefault(key, []).append(finding)
    for key, reason in plan.not_placed:
        findings.setdefault(key, []).append(Finding("not approved", f"It finds no place: {reason}"))
    return findings
