"""A rule that the site sets must reach the verdict (house rule: no silent default)."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from assessment.invented import LITRE, answer, bottle, room


def _with_rules(**rules: object):
    place = room()
    return replace(place, rules=replace(place.rules, **rules))


def test_the_criterion_in_a_spill_too_is_asked_for_and_is_stricter() -> None:
    """Acetone: borne by the room's limits, but no filter keeps its spill at 1 % of a limit through the seals."""
    row = bottle(2, "67-64-1", 2.5 * LITRE)
    usual = answer(row, place=_with_rules())
    strict = answer(row, place=_with_rules(spill_criterion_too=True))
    assert usual.verdict != "not approved"
    assert strict.verdict == "not approved"
    assert "criterion that the site asks for in a spill too" in " ".join(
        finding.reason for finding in strict.subjects[0].findings
    )


def test_a_shorter_clean_up_never_raises_what_the_room_reaches() -> None:
    """Less time evaporates less (mass balance)."""
    row = bottle(2, "67-56-1", 1.0 * LITRE)
    results = [
        answer(row, place=_with_rules(cleanup_minutes=minutes)).subjects[0].spill for minutes in (4.0, 15.0)
    ]
    peaks = [float(np.quantile(result.short_unfiltered, 0.5)) for result in results if result is not None]
    assert len(peaks) == 2
    assert peaks[0] <= peaks[1] * (1 + 1e-9)


def test_a_smaller_criterion_never_softens_the_verdict() -> None:
    """Chloroform near the criterion: 0.1 % instead of 1 % refuses at least as much."""
    row = bottle(2, "67-66-3", 1.0 * LITRE)
    order = ("approved", "approved with conditions", "cannot tell", "not approved")
    loose = answer(row, place=_with_rules(criterion_fraction=0.01)).verdict
    tight = answer(row, place=_with_rules(criterion_fraction=0.001)).verdict
    assert order.index(tight) >= order.index(loose)
