"""Two organisations with their people, and the pages' computing parts replaced by an invented record."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any

import pytest

from web.stubs import fake_assess, fake_papers

PASSWORD = "five invented words here 9"
INVENTORY = b"name,cas,amount,unit,count\nToluene,108-88-3,2.5,L,2\nAcetone,67-64-1,1,L,1\n"


@dataclass
class Side:
    """One organisation: its people by role, a draft and a finished assessment."""

    organisation: Any
    people: dict[str, Any]
    draft: Any = None
    done: Any = None
    copy: Any = None
    instrument: Any = None
    cabinet: Any = None
    validation: Any = None
    visit: Any = None
    series: Any = None
    filter_change: Any = None
    token: str = ""
    """of the validator's calendar address"""


def room_tables(**room: Any) -> dict[str, Any]:
    return {
        "room": {"name": "1.14", "volume_m3": 62.0, "air_changes_per_h": 6.0, "temperature_C": 22.0,
                 "relative_humidity": 0.5} | room,
        "limits": {"lists": ["uk-eh40"], "ordering": "strictest"},
        "rules": {"cleanup_minutes": 15.0, "criterion_fraction": 0.01},
    }  # fmt: skip


def inputs(**room: Any) -> dict[str, Any]:
    from stillroom.cabinet.load import shipped_tables

    return {
        "seed": 1, "draws": 1000, "date": "2026-11-04",
        "cabinet": shipped_tables("full-height"), "room": room_tables(**room),
    }  # fmt: skip


def make_side(name: str, password_hash: str) -> Side:
    from stillroom.records.models import Membership, Organisation, User
    from stillroom.records.store import conclude, copy_of, keep_file, new_draft, update_draft
    from stillroom.records.trail import writing
    from stillroom.services.due_address import give_address

    people = {}
    with writing(None, "test", reason="people come"):
        organisation = Organisation.objects.create(name=f"{name} (invented)")
        for role in ("owner", "validator", "reader"):
            user = User.objects.create(
                username=f"{name}-{role}", full_name=f"{name} {role}", password=password_hash
            )
            Membership.objects.create(user=user, organisation=organisation, role=role)
            people[role] = user
    side = Side(organisation, people)
    stored = keep_file(organisation, people["validator"], name="bottles.csv", content=INVENTORY)
    side.draft, side.done = (
        new_draft(organisation, people["validator"], title=title, inputs=inputs())
        for title in ("Draft", "Done")
    )
    for case in (side.draft, side.done):
        update_draft(case, people["validator"], inventory=stored)
    conclude(side.done, people["validator"], record=fake_assess(side.done))
    side.copy = copy_of(side.done, people["validator"])
    changed = inputs(air_changes_per_h=1.0)
    update_draft(side.copy, people["validator"], **changed)
    conclude(side.copy, people["validator"], record=fake_assess(side.copy))
    side.instrument = make_instrument(side)
    side.token = give_address(organisation, people["validator"])
    keep(side)
    return side


def keep(side: Side) -> None:
    """A cabinet with a signed validation of the finished assessment, a visit, a sensor's file and a filter change."""
    from audit.rows import signed
    from stillroom.records.models import Cabinet, FilterChange, Reading, Series, Visit
    from stillroom.records.store import keep_file
    from stillroom.records.trail import writing

    user = side.people["validator"]
    own = {"organisation": side.organisation, "created_by": user}
    file = keep_file(
        side.organisation, user, name="sensor.csv", content=b"time,value\n2026-11-05 12:00,0.1\n"
    )
    answer = {
        "on": "2026-11-05",
        "verdict": "cannot tell",
        "words": ["Invented."],
        "readings": [],
        "life": None,
    }
    with writing(side.organisation, user, reason="the cabinet is kept"):
        side.cabinet = Cabinet.objects.create(name="Cabinet 3", site="Invented Works", serial="S-3", **own)
        side.validation = signed(
            side.organisation, user, side.cabinet, side.done, valid_until=date(2027, 11, 4), number=1
        )
        side.validation.save()
        side.visit = Visit.objects.create(
            cabinet=side.cabinet, validation=side.validation, on=date(2026, 11, 5), person="Ada", **own
        )
        Reading.objects.create(
            visit=side.visit, instrument=side.instrument, point="exhaust", value_ppm="0,10",
            measured_at=datetime(2026, 11, 5, 12, tzinfo=UTC), answer={"together": answer, "bed_number": 1}, **own,
        )  # fmt: skip
        summary = {"point": "exhaust", "bed_number": 1, "unit": "ppm", "values": 1, "days": 1, "first": "2026-11-05",
                   "last": "2026-11-05", "faults": [], "duplicates": [], "gaps": [], "answer": answer}  # fmt: skip
        side.series = Series.objects.create(
            cabinet=side.cabinet,
            file=file,
            point="exhaust",
            instrument=side.instrument,
            summary=summary,
            **own,
        )
        side.filter_change = FilterChange.objects.create(
            cabinet=side.cabinet, on=date(2026, 11, 20), by="Ada", reason="due", **own,
            stack=[{"medium": "coconut", "mass_kg": 8.0, "serial": "F-1", "weighed_g": 9000.0}],
            leak_check={"result": "passed", "method": "photometer", "limit": ""},
        )  # fmt: skip


def make_instrument(side: Side) -> Any:
    """An invented detector, calibrated on 1 October 2026 for half a year."""
    from stillroom.services.instruments import add_calibration, keep_instrument

    factor = {"cas": "108-88-3", "name": "toluene", "factor": 0.5, "source": "manual, page 9 (invented)"}
    instrument = keep_instrument(
        side.organisation, side.people["validator"], name="Detector 7 (invented)", kind="photoionisation detector",
        lamp_eV=10.6, detection_limit_ppm=0.01, response_factors=[factor],
    )  # fmt: skip
    add_calibration(
        instrument, side.people["validator"], on=date(2026, 10, 1), due=date(2027, 4, 1), by="Ada Invented",
        gas="isobutylene, 10 ppm", certificate="C-1",
    )  # fmt: skip
    return instrument


@pytest.fixture(scope="session")
def password_hash() -> str:
    from django.contrib.auth.hashers import make_password

    return make_password(PASSWORD)


@pytest.fixture
def stubs(monkeypatch):
    from stillroom.web.shared import core

    monkeypatch.setattr(core, "assess", fake_assess)
    monkeypatch.setattr(core, "papers", fake_papers)
    monkeypatch.setattr("stillroom.services.recheck.assess_case", fake_assess)


@pytest.fixture
def ours(db, stubs, password_hash) -> Side:
    return make_side("ours", password_hash)


@pytest.fixture
def theirs(db, stubs, password_hash) -> Side:
    return make_side("theirs", password_hash)


@pytest.fixture
def validator(ours, client):
    client.force_login(ours.people["validator"], backend="django.contrib.auth.backends.ModelBackend")
    return client
