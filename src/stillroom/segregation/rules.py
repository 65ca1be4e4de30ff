"""Which containers must be kept apart, how far, and why.

Each component of a container has storage classes and reactive groups (`substances.hazards`). Class rules
speak by strength; the reactive groups of EPA-600/2-80-076 add to them, except where a class rule holds and
asks nothing. The most severe wins a pair of containers. No conflict found is no proof that two may be mixed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations

from stillroom.inventory.model import Container
from stillroom.segregation.model import SEVERITIES, Conflict, Severity
from stillroom.segregation.tables import Rule, dilute_below, group_rules, mend, rules, trace
from stillroom.substances.hazards.lookup import hazards

__all__ = ["conflicts", "pair_conflict", "remarks"]

WATER = "7732-18-5"
_AQUEOUS = 0.3
"""[-] water that makes a solution count as aqueous: common practice, no source"""


@dataclass(frozen=True, slots=True)
class _Ruling:
    """What a rule says of two substances at their strengths."""

    rule: Rule
    severity: Severity
    swapped: bool
    """the rule's first class is the second substance"""


def conflicts(containers: Sequence[Container]) -> tuple[Conflict, ...]:
    """Every pair of containers that must be kept apart, most severe first.

    Parameters
    ----------
    containers : sequence of Container
        Contents that are not identified are left out: they are refused before.

    Returns
    -------
    tuple of Conflict
        At most one a pair of containers: the most severe.
    """
    known = [(container, tuple(_parts(container))) for container in containers if container.known]
    found = []
    for (first, first_parts), (second, second_parts) in combinations(known, 2):
        conflict = _worst(first, first_parts, second, second_parts)
        if conflict:
            found.append(conflict)
    return tuple(sorted(found, key=lambda conflict: -SEVERITIES.index(conflict.severity)))


def remarks(containers: Sequence[Container]) -> tuple[str, ...]:
    """What may stand together in closed bottles but is not to be mixed, a sentence a pair of substances.

    Parameters
    ----------
    containers : sequence of Container
        Contents that are not identified are left out.
    """
    known = [(container, tuple(_parts(container))) for container in containers if container.known]
    found: dict[str, None] = {}
    for (first, first_parts), (second, second_parts) in combinations(known, 2):
        if _worst(first, first_parts, second, second_parts):
            continue
        for cas, name, fraction in first_parts:
            for other_cas, other_name, other_fraction in second_parts:
                one, two = _tags(cas, fraction), _tags(other_cas, other_fraction)
                for rule, _ in _holding(rules(), one, two):
                    if rule.severity is None and not rule.overrules and cas != other_cas:
                        found[f"{name} and {other_name}: {rule.consequence}."] = None
    return tuple(found)


def pair_conflict(
    first: str,
    second: str,
    *,
    first_fraction: float | None = 1.0,
    second_fraction: float | None = 1.0,
) -> tuple[Severity, Rule] | None:
    """What is said of two substances at their mass fractions [-], or None where nothing is.

    Examples
    --------
    >>> pair_conflict("7681-52-9", "7647-01-0", first_fraction=0.12, second_fraction=0.37)[0]  # bleach
    'not in one cabinet'
    >>> pair_conflict("64-17-5", "67-64-1") is None  # ethanol and acetone
    True
    """
    ruling = _ruling(first, first_fraction, second, second_fraction)
    return (ruling.severity, ruling.rule) if ruling else None


def _parts(container: Container) -> Iterator[tuple[str, str, float | None]]:
    """CAS number, name and mass fraction [-] of the components that count."""
    for component in container.components:
        fraction, cas = component.mass_fraction, component.substance.cas
        if fraction is not None and fraction < (_AQUEOUS if cas == WATER else trace()):
            continue
        yield cas, component.substance.name, fraction


def _worst(
    first: Container,
    first_parts: tuple[tuple[str, str, float | None], ...],
    second: Container,
    second_parts: tuple[tuple[str, str, float | None], ...],
) -> Conflict | None:
    worst: Conflict | None = None
    for cas, name, fraction in first_parts:
        for other_cas, other_name, other_fraction in second_parts:
            ruling = _ruling(cas, fraction, other_cas, other_fraction)
            if ruling is None:
                continue
            if worst and SEVERITIES.index(ruling.severity) <= SEVERITIES.index(worst.severity):
                continue
            rule = ruling.rule
            worst = Conflict(
                first=first.key,
                second=second.key,
                cas=(cas, other_cas),
                names=(name, other_name),
                hazard=rule.hazard,
                consequence=rule.consequence,
                source=rule.source,
                locator=rule.locator,
                severity=ruling.severity,
                mend=mend(ruling.severity),
            )
    return worst


@lru_cache(maxsize=65536)
def _ruling(
    first: str, first_fraction: float | None, second: str, second_fraction: float | None
) -> _Ruling | None:
    """The most severe rule that holds; where class rules hold and ask nothing, groups are silent."""
    if first == second:
        return None
    one, two = _tags(first, first_fraction), _tags(second, second_fraction)
    fractions = first_fraction, second_fraction
    by_class = list(_holding(rules(), one, two))
    if any(rule.overrules for rule, _ in by_class):
        return None
    best = _most_severe(by_class, fractions)
    if by_class and best is None:
        return None
    by_group = _most_severe(list(_holding(group_rules(), one, two)), fractions)
    return max(
        (ruling for ruling in (best, by_group) if ruling),
        key=lambda ruling: SEVERITIES.index(ruling.severity),
        default=None,
    )


def _holding(
    table: tuple[Rule, ...], one: frozenset[str], two: frozenset[str]
) -> Iterator[tuple[Rule, bool]]:
    """Rules that name both, and whether they name them the other way round."""
    for rule in table:
        if rule.first in one and rule.second in two:
            yield rule, False
        if rule.first in two and rule.second in one:
            yield rule, True


def _most_severe(
    holding: list[tuple[Rule, bool]], fractions: tuple[float | None, float | None]
) -> _Ruling | None:
    """The most severe at these mass fractions [-]; the first in the file among equals."""
    found = (
        _Ruling(rule, severity, swapped)
        for rule, swapped in holding
        if (severity := _severity(rule, fractions, swapped=swapped))
    )
    return max(found, key=lambda ruling: SEVERITIES.index(ruling.severity), default=None)


@lru_cache(maxsize=8192)
def _tags(cas: str, fraction: float | None) -> frozenset[str]:
    """Everything that a rule can name a substance by."""
    known = hazards(cas, mass_fraction=fraction)
    groups = (f"group:{group}" for group in known.reactive_groups)
    return frozenset({*known.storage_classes, *groups, f"cas:{cas}"})


def _severity(rule: Rule, fractions: tuple[float | None, float | None], *, swapped: bool) -> Severity | None:
    """The rule's severity, milder where either of the two is dilute. Unknown strength counts as strong."""
    first, second = (fractions[1], fractions[0]) if swapped else fractions
    dilute = any(
        fraction is not None and fraction < dilute_below(name)
        for fraction, name in ((first, rule.first), (second, rule.second))
    )
    return rule.dilute if dilute else rule.severity
