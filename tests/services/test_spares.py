"""Spares to order and cabinets at risk: counted by hand on validations that are truly assessed and signed; all invented."""

from __future__ import annotations

import datetime
from dataclasses import replace

import pytest

from records.conftest import two  # noqa: F401
from services.kept import ASSESSED, keep
from services.test_due import TOLUENE, put
from stillroom.records.models import Cabinet, FilterChange, Withdrawal
from stillroom.services.due import due, in_use
from stillroom.services.spares import spares

DAY = datetime.timedelta(days=1)


@pytest.fixture
def kept(two):  # noqa: F811
    return keep(*two[0], "North", TOLUENE, "uk-eh40")


def told(validation, today, days=90, site=None):
    histories = in_use(validation.organisation, site=site)
    items = due(validation.organisation, today=today, site=site, kept=histories)
    return spares(histories, items, today=today, days=days)


def changed(signed, on, mass=8.0, leak="passed"):
    stack = [{"medium": "coconut", "mass_kg": mass, "serial": f"F-{on}"}]
    given = {"on": on, "by": "Ada", "reason": "due", "stack": stack, "leak_check": {"result": leak}}
    return put(signed, FilterChange, cabinet=signed.cabinet, **given)


def ends(signed):
    return ASSESSED + int(signed.assessment.record["label_life_days"]) * DAY


def test_a_cartridge_is_ordered_from_ninety_days_before_its_date(kept):
    """The shipped cabinet has one bed, 8 kg of coconut carbon; the 90th day counts, the 91st does not."""
    assert told(kept, ends(kept) - 91 * DAY).order == ()
    (row,) = told(kept, ends(kept) - 90 * DAY).order
    assert (row.medium, row.mass_kg, row.cartridges, row.cabinets, row.late) == ("coconut", 8.0, 1, 1, 0)
    assert (row.first, row.total_kg) == (ends(kept), 8.0)
    assert told(kept, ends(kept) - 91 * DAY, days=91).order == (row,)
    today = ends(kept) + 5 * DAY
    (late,) = told(kept, today).order
    assert (late.cartridges, late.late, late.first) == (1, 1, today), "a late filter is changed today"


def test_a_filter_that_lasts_forty_days_is_ordered_three_times_for_ninety(kept):
    """Late, so today, then after 40 and 80 days."""
    histories = in_use(kept.organisation)
    today = ends(kept) + DAY
    items = due(kept.organisation, today=today, kept=histories)
    (history,) = histories
    short = tuple(replace(item, label_life_days=40.0) for item in history.validations)
    order = spares([replace(history, validations=short)], items, today=today).order
    assert [(row.cartridges, row.cabinets, row.late) for row in order] == [(3, 1, 1)]


def test_cabinets_are_added_up_by_medium_and_mass_and_by_site(kept):
    other = keep(kept.organisation, kept.signer, "South", TOLUENE, "uk-eh40")
    with_site = Cabinet.objects.get(pk=other.cabinet_id)
    from stillroom.services.cabinets import keep_cabinet

    keep_cabinet(kept.organisation, kept.signer, cabinet=with_site, name="South", site="Annex")
    today = ends(kept)
    assert [(row.cartridges, row.cabinets, row.total_kg) for row in told(kept, today).order] == [(2, 2, 16.0)]
    assert [row.cartridges for row in told(kept, today, site="Annex").order] == [1]
    assert {item.name for item in due(kept.organisation, today=today, site="Annex")} == {"South"}


def test_what_nothing_approves_is_not_guessed_and_is_at_risk(kept):
    at = datetime.datetime(2026, 11, 10, 12, tzinfo=datetime.UTC)
    put(kept, Withdrawal, validation=kept, reason="the room was rebuilt", by=kept.signer, at=at)
    found = told(kept, ends(kept))
    assert found.order == () and found.unknown == ("North",)
    assert [row.reasons for row in found.at_risk] == [("nothing approves it",)]


@pytest.mark.parametrize(
    ("how", "words"), [({"leak": "failed"}, "leak check of its filter failed"), ({"mass": 5.0}, "holds 5 kg")]
)
@pytest.mark.parametrize("past", [False, True])
def test_a_filter_that_leaks_or_is_lighter_is_at_risk_also_once_its_validation_has_ended(
    kept, how, words, past
):
    """A leak does not heal on the day on which the validation ends."""
    on = kept.valid_until - 10 * DAY
    changed(kept, on, **how)
    today = kept.valid_until + DAY if past else on + DAY
    found = told(kept, today)
    (row,) = found.at_risk
    assert any(words in reason for reason in row.reasons) and (len(row.reasons) == 2) == past
    assert [item.cartridges for item in found.order] == [1], "it is to be changed again"
    (item,) = (item for item in due(kept.organisation, today=today) if item.kind == "replacement")
    assert (item.date, item.what) == (today, "Look at the filters") and words in item.risk


def test_past_their_dates_and_readings_that_do_not_fit(kept, monkeypatch):
    from stillroom.services import due as verb

    assert told(kept, ends(kept)).at_risk == ()
    late = max(kept.valid_until, ends(kept)) + DAY
    (row,) = told(kept, late).at_risk
    assert sorted(reason.split(" on ")[0].split(" by ")[0] for reason in row.reasons) == [
        "its filter was to be replaced",
        "its validation ended",
    ]
    usual = verb.foreseen
    monkeypatch.setattr(
        verb, "foreseen", lambda history, today: replace(usual(history, today), readings="inconsistent")
    )
    assert told(kept, ASSESSED + DAY).at_risk[0].reasons == ("its last readings do not fit",)


def test_nothing_of_another_organisation(kept, two):  # noqa: F811
    assert in_use(two[1][0]) == []
    empty = spares(in_use(two[1][0]), due(two[1][0], today=ends(kept)), today=ends(kept))
    assert (empty.order, empty.at_risk, empty.unknown) == ((), (), ())
