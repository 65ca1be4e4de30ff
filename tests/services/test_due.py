"""What is due and when: every date by hand from the record's rule, on true assessments that are stored and signed."""

from __future__ import annotations

import datetime

import pytest

from records.conftest import two  # noqa: F401
from services.kept import ASSESSED, keep, load
from stillroom.records.models import Cabinet, FilterChange, Instrument, Visit, Withdrawal
from stillroom.records.trail import writing
from stillroom.services import due as verb
from stillroom.services.due import due
from stillroom.services.instruments import add_calibration

DAY = datetime.timedelta(days=1)
TODAY = ASSESSED + 30 * DAY
TOLUENE = "Toluene,108-88-3,2.5,L,2\n"


@pytest.fixture
def kept(two):  # noqa: F811
    return keep(*two[0], "North", TOLUENE, "uk-eh40")


def put(signed, model, **fields):
    own = {"organisation": signed.organisation, "created_by": signed.signer}
    with writing(signed.organisation, signed.signer, reason="for the test"):
        return model.objects.create(**fields, **own)


def listed(validation, today=TODAY, **more):
    return {item.kind: item for item in due(validation.organisation, today=today, **more)}


def test_a_cabinet_that_was_just_signed(kept):
    record = kept.assessment.record
    found = listed(kept)
    assert set(found) == {"visit", "replacement", "expiry"}
    assert found["visit"].date == ASSESSED + int(record["visit"]["interval_days"]) * DAY
    assert found["replacement"].date == ASSESSED + int(record["label_life_days"]) * DAY
    assert found["expiry"].date == kept.valid_until
    assert not any(item.overdue for item in found.values())
    assert found["visit"].days == (found["visit"].date - TODAY).days


def test_the_next_visit_counts_from_the_last(kept):
    on = ASSESSED + 100 * DAY
    put(kept, Visit, cabinet=kept.cabinet, validation=kept, on=on, person="Ada")
    interval = int(kept.assessment.record["visit"]["interval_days"])
    assert listed(kept, today=on)["visit"].date == on + interval * DAY
    late = listed(kept, today=on + (interval + 5) * DAY)["visit"]
    assert late.overdue and late.days == -5
    assert not listed(kept, today=on + interval * DAY)["visit"].overdue, "the day itself is in time"


@pytest.mark.parametrize("leak, moved", [("passed", True), ("not done", False), ("failed", False)])
def test_a_filter_change_moves_the_replacement_only_once_its_seal_holds(leak, moved, kept):
    on = ASSESSED + 50 * DAY
    beds = kept.assessment.inputs["cabinet"]["filters"]["bed"]
    stack = [{"medium": bed["medium"], "mass_kg": bed["mass_kg"]} for bed in beds]
    put(
        kept,
        FilterChange,
        cabinet=kept.cabinet,
        on=on,
        by="Ada",
        reason="due",
        stack=stack,
        leak_check={"result": leak},
    )
    found = listed(kept, today=on + DAY)
    life = int(kept.assessment.record["label_life_days"])
    interval = int(kept.assessment.record["visit"]["interval_days"])
    if leak == "failed":
        assert found["replacement"].what == "Look at the filters" and found["replacement"].date == on + DAY
    else:
        assert found["replacement"].date == on + life * DAY
    assert found["visit"].date == (
        on + interval * DAY if moved else on if leak == "not done" else ASSESSED + interval * DAY
    )


def test_another_filter_than_the_one_validated_is_to_be_looked_at_today(kept):
    stack = [{"medium": "coconut", "mass_kg": 0.5}]
    put(
        kept,
        FilterChange,
        cabinet=kept.cabinet,
        on=TODAY,
        by="Ada",
        reason="due",
        stack=stack,
        leak_check={"result": "passed"},
    )
    found = listed(kept)["replacement"]
    assert found.date == TODAY and "not the one that was validated" in found.why


def test_past_its_date_the_cabinet_is_validated_again_and_the_filter_is_late(kept):
    found = listed(kept, today=kept.valid_until + 3 * DAY)
    assert found["expiry"].days == -3 and "not approved any more" in found["expiry"].what
    assert found["replacement"].overdue
    assert next(iter(found)) in ("visit", "expiry"), "overdue the longest first"


def test_withdrawn_nothing_approves_it_any_more(kept):
    at = datetime.datetime(2026, 11, 10, 12, tzinfo=datetime.UTC)
    put(kept, Withdrawal, validation=kept, reason="the room was rebuilt", by=kept.signer, at=at)
    found = listed(kept)
    assert set(found) == {"validation"}
    assert found["validation"].date == at.date() and "the room was rebuilt" in found["validation"].why


def test_a_cabinet_that_was_never_validated_and_one_out_of_use(kept):
    put(kept, Cabinet, name="New", commissioned=TODAY - 9 * DAY)
    put(kept, Cabinet, name="Old", retired=TODAY)
    new = [item for item in due(kept.organisation, today=TODAY) if item.name in ("New", "Old")]
    assert [(item.name, item.kind, item.days) for item in new] == [("New", "validation", -9)]


def test_made_with_what_has_changed_it_is_rechecked_today(two, tmp_path, monkeypatch):  # noqa: F811
    monkeypatch.setenv("STILLROOM_LIMITS", str(tmp_path / "lists"))
    load(50)
    kept = keep(*two[0], "North", TOLUENE, "works")
    assert "recheck" not in listed(kept)
    load(5, edition="2")
    found = listed(kept)["recheck"]
    assert found.date == TODAY and "limits works" in found.why


def test_calibrations_that_lapse_and_an_instrument_with_none(kept):
    one = put(kept, Instrument, name="P1", kind="photoionisation detector", lamp_eV=10.6)
    put(kept, Instrument, name="P2", kind="photoionisation detector", lamp_eV=10.6)
    add_calibration(one, kept.signer, on=ASSESSED, due=ASSESSED + 20 * DAY, by="Ada")
    found = {item.name: item for item in due(kept.organisation, today=TODAY) if item.kind == "calibration"}
    assert found["P1"].days == -10 and "by Ada" in found["P1"].why
    assert "no calibration" in found["P2"].why and found["P2"].days <= 0


def test_overdue_first_and_within_leaves_out_only_what_is_later(kept):
    put(kept, Cabinet, name="New", commissioned=TODAY - 9 * DAY)
    every = due(kept.organisation, today=TODAY)
    assert [item.date for item in every] == sorted(item.date for item in every)
    for within in (0, 100, 160, 400):
        assert due(kept.organisation, today=TODAY, within_days=within) == [
            item for item in every if (item.date - TODAY).days <= within
        ]


def test_the_key_stays_while_the_date_moves(kept):
    before = listed(kept)["visit"]
    put(kept, Visit, cabinet=kept.cabinet, validation=kept, on=TODAY, person="Ada")
    after = listed(kept)["visit"]
    assert before.key == after.key and before.date != after.date


def test_readings_that_shorten_the_life_bring_visit_and_replacement_forward(kept, monkeypatch):
    """Half of what was left at the last visit, as the record's rule has it: 40 days left on the day, so 20 later."""
    from stillroom.services.forecast import Forecast

    by = TODAY + 40 * DAY
    put(kept, Visit, cabinet=kept.cabinet, validation=kept, on=TODAY, person="Ada")
    plan = Forecast(ASSESSED, by, by, by, by, "readings", ("The readings bring the replacement forward.",))
    monkeypatch.setattr(verb, "foreseen", lambda history, today: plan)
    found = listed(kept)
    assert found["visit"].date == TODAY + 20 * DAY and "shortened" in found["visit"].why
    assert found["replacement"].date == by


def test_readings_that_do_not_fit_are_for_today(kept, monkeypatch):
    from dataclasses import replace

    from stillroom.services.forecast import foreseen

    monkeypatch.setattr(
        verb, "foreseen", lambda history, today: replace(foreseen(history, today), readings="inconsistent")
    )
    found = listed(kept)["visit"]
    assert found.date == TODAY and "do not fit" in found.what


def test_nothing_of_another_organisation(kept, two):  # noqa: F811
    assert due(two[1][0], today=TODAY) == []


def test_more_cabinets_ask_the_database_no_more_often(kept):
    """With visits, changes and readings that were answered; a query a cabinet is a page of seconds for hundreds."""
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    from stillroom.records.models import Point, Reading

    def live(signed):
        visit = put(
            signed, Visit, cabinet=signed.cabinet, validation=signed, on=TODAY - 20 * DAY, person="Ada"
        )
        together = {"on": visit.on.isoformat(), "verdict": "cannot tell"}
        at = datetime.datetime.combine(visit.on, datetime.time(), datetime.UTC)
        put(signed, Reading, visit=visit, point=Point.EXHAUST, measured_at=at, answer={"together": together})
        stack, leak = [{"medium": "coconut", "mass_kg": 8.0}], {"result": "passed"}
        change = {"on": TODAY - 9 * DAY, "by": "Ada", "reason": "due", "stack": stack, "leak_check": leak}
        put(signed, FilterChange, cabinet=signed.cabinet, **change)

    def asked():
        with CaptureQueriesContext(connection) as queries:
            items = due(kept.organisation, today=TODAY)
        return len(queries), len(items)

    live(kept)
    one = asked()
    for name in ("East", "South"):
        live(keep(kept.organisation, kept.signer, name, TOLUENE, "uk-eh40"))
    three = asked()
    assert three[0] == one[0] and three[1] == 3 * one[1]
