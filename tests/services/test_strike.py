"""A mistyped reading is struck out: seen for good, counted nowhere; the warning of a true one cannot be lost that way."""

from __future__ import annotations

import datetime

import pytest

from records.conftest import two  # noqa: F401
from services.test_visit import DAY, FITTING, JUNE, TODAY, change, studio, visit  # noqa: F401
from stillroom.errors import InputError
from stillroom.records import models
from stillroom.records.models import Event, Membership, Strike, User
from stillroom.records.trail import Frozen, writing
from stillroom.services import visit as visits
from stillroom.services.due import due_for
from stillroom.services.forecast import forecast
from stillroom.services.history import history_of
from stillroom.services.visit import Entry, earlier_readings, strike

MISTYPED = [Entry("cabinet", "1,1"), Entry("exhaust", "800")]
"""0.800 with the point left out."""


def last(taken):
    return taken.readings.order_by("pk").last()


def test_what_is_left_is_weighed_again_and_the_day_comes_back(studio):  # noqa: F811
    cabinet, _, user = studio
    visit(studio, FITTING)
    before = forecast(cabinet, TODAY)
    wrong = visit(studio, MISTYPED, at=JUNE + DAY)
    assert forecast(cabinet, TODAY).readings == "inconsistent"
    struck = strike(last(wrong), user, reason="0.800 on the sheet")
    after = forecast(cabinet, TODAY)
    assert after.readings == "consistent"
    assert after.by == before.by, "no later than before it was mistyped"
    assert struck.answer["verdict"] == "consistent"
    assert struck.answer["on"] == "2026-06-11"
    (event,) = Event.objects.filter(action="reading.struck")
    assert (event.actor, event.reason) == (user.get_username(), "0.800 on the sheet")
    reading = last(wrong)
    assert (reading.value_ppm, reading.strike.reason) == ("800", "0.800 on the sheet"), "it stays to be seen"
    assert len(earlier_readings(cabinet, visits.filter_in(cabinet, TODAY), TODAY)) == 3
    visit(studio, [Entry("exhaust", "0.800")], at=JUNE + DAY)
    assert forecast(cabinet, TODAY).readings == "consistent"


def test_a_later_visit_that_was_weighed_with_it_says_nothing_any_more(studio):  # noqa: F811
    cabinet, _, user = studio
    wrong = visit(studio, MISTYPED)
    visit(studio, FITTING, at=JUNE + 10 * DAY)
    assert forecast(cabinet, TODAY).readings == "inconsistent"
    strike(last(wrong), user, reason="mistyped")
    assert forecast(cabinet, TODAY).readings == "consistent"


def test_another_that_does_not_fit_still_warns(studio):  # noqa: F811
    cabinet, _, user = studio
    wrong = visit(studio, MISTYPED)
    visit(studio, [Entry("exhaust", "300")], at=JUNE + DAY)
    strike(last(wrong), user, reason="mistyped")
    assert forecast(cabinet, TODAY).readings == "inconsistent"


def test_two_struck_out_in_either_order(studio):  # noqa: F811
    cabinet, _, user = studio
    first, second = visit(studio, MISTYPED), visit(studio, MISTYPED, at=JUNE + DAY)
    strike(last(second), user, reason="mistyped")
    assert forecast(cabinet, TODAY).readings == "inconsistent"
    strike(last(first), user, reason="mistyped")
    assert forecast(cabinet, TODAY).readings == "consistent"
    assert len(history_of(cabinet).answers) == 1


def test_a_visit_of_which_nothing_is_left_was_none(studio):  # noqa: F811
    cabinet, _, user = studio
    on = JUNE.date()
    due = {item.what: item.date for item in due_for(cabinet, today=TODAY)}
    taken = visit(studio, [Entry("exhaust", "800")])
    assert history_of(cabinet).visited == (on,)
    struck = strike(last(taken), user, reason="mistyped")
    assert struck.answer["words"] == ["No reading is left on this filter."]
    assert history_of(cabinet).visited == ()
    assert {item.what: item.date for item in due_for(cabinet, today=TODAY)} == due
    assert forecast(cabinet, TODAY).readings == ""


def test_another_filters_answers_stay(studio):  # noqa: F811
    cabinet, _, user = studio
    wrong = visit(studio, MISTYPED)
    change(studio, JUNE.date() + 5 * DAY)
    visit(studio, [Entry("exhaust", "300")], at=JUNE + 6 * DAY)
    assert forecast(cabinet, TODAY).readings == "inconsistent"
    strike(last(wrong), user, reason="mistyped")
    assert forecast(cabinet, TODAY).readings == "inconsistent", "the new filter's reading is another's"


def test_it_is_refused(studio, two, monkeypatch):  # noqa: F811
    cabinet, _, user = studio
    reading = last(visit(studio, MISTYPED))
    stranger = two[1][1]
    with writing(None, "test", reason="a reader comes"):
        reader = User.objects.create(username="reader", full_name="R")
        Membership.objects.create(user=reader, organisation=cabinet.organisation, role="reader")
    for other in (stranger, reader):
        with pytest.raises(InputError, match="only an owner or a validator"):
            strike(reading, other, reason="mistyped")
    with pytest.raises(InputError, match="reason is missing"):
        strike(reading, user, reason="  ")

    def fails(*args, **options):
        raise InputError("a medium is gone")

    with monkeypatch.context() as patch:
        patch.setattr(visits, "weigh", fails)
        with pytest.raises(InputError, match="cannot be weighed"):
            strike(reading, user, reason="mistyped")
    assert not Strike.objects.exists()
    assert forecast(cabinet, TODAY).readings == "inconsistent", "the warning stays"
    row = strike(reading, user, reason="mistyped")
    with pytest.raises(InputError, match="struck out already"):
        strike(models.Reading.objects.get(pk=reading.pk), user, reason="again")
    with writing(cabinet.organisation, user, reason="softened"), pytest.raises(Frozen):
        row.reason = "another"
        row.save()


def test_the_day_of_a_change(studio):  # noqa: F811
    """Read on the filter that went out that day: the new filter's answers are weighed again without it, and stay."""
    cabinet, _, user = studio
    wrong = visit(studio, MISTYPED)
    change(studio, JUNE.date())
    visit(studio, [Entry("exhaust", "300")], at=JUNE + DAY)
    strike(last(wrong), user, reason="mistyped")
    assert forecast(cabinet, TODAY).readings == "inconsistent"


assert datetime.date(2026, 6, 10) == JUNE.date()
