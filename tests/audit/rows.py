"""One stored row of every kind, invented."""

from __future__ import annotations

import datetime
from typing import Any

from documents.sample_record import sample_record

TABLES = {"cabinet": {"cabinet": {"name": "C"}}, "room": {"room": {"name": "R"}}}
DAY = datetime.date(2026, 11, 4)
NOON = datetime.datetime(2026, 11, 4, 12, tzinfo=datetime.UTC)

CHANGES: dict[str, dict[str, Any]] = {
    "User": {"full_name": "changed"},
    "Organisation": {"name": "changed"},
    "Membership": {"role": "reader"},
    "Installation": {"created_at": NOON},
    "Cabinet": {"place": "changed"},
    "Instrument": {"lamp_eV": 11.7},
    "Assessment": {"title": "changed"},
    "StoredFile": {"name": "changed"},
    "CabinetDefinition": {"tables": {"changed": 1}},
    "RoomDefinition": {"tables": {"changed": 1}},
    "Validation": {"meaning": "refused"},
    "Review": {"reviewer_name": "changed"},
    "Withdrawal": {"reason": "changed"},
    "FilterChange": {"removed_mass_g": 1.0},
    "Calibration": {"gas": "changed"},
    "Visit": {"note": "changed"},
    "Reading": {"value_ppm": "99"},
    "Series": {"summary": {"changed": 1}},
    "Strike": {"reason": "changed"},
    "CalendarAddress": {"token_sha256": "1" * 64},
}
"""A field of each kind of row with another value."""


def one_of_each(organisation: Any, user: Any) -> dict[str, Any]:
    """Kind → a stored row of the organisation. The assessment there is assessed; `draft` is one that is not."""
    from stillroom.records import models as m
    from stillroom.records import store, trail

    file = store.keep_file(organisation, user, name="a.csv", content=b"name\n")
    draft, done = (store.new_draft(organisation, user, title=title, inputs=TABLES) for title in "ab")
    store.update_draft(done, user, inventory=file)
    store.conclude(done, user, record=sample_record())
    own = {"organisation": organisation, "created_by": user}
    with trail.writing(None, user, reason="a second person comes"):
        second = m.User.objects.create(username=f"second-{organisation.pk}", full_name="Second")
    with trail.writing(organisation, user, reason="one of each"):
        cabinet = m.Cabinet.objects.create(name="C1", **own)
        validation = signed(organisation, user, cabinet, done)
        validation.save()
        instrument = m.Instrument.objects.create(name="P1", kind="PID", lamp_eV=10.6, **own)
        visit = m.Visit.objects.create(cabinet=cabinet, validation=validation, on=DAY, person="A", **own)
        made = [
            cabinet,
            validation,
            instrument,
            visit,
            reviewed(organisation, second, validation),
            m.Withdrawal.objects.create(validation=validation, reason="r", by=user, at=NOON, **own),
            m.FilterChange.objects.create(cabinet=cabinet, on=DAY, by="A", reason="due", **own),
            m.Calibration.objects.create(instrument=instrument, on=DAY, by="A", **own),
            reading := m.Reading.objects.create(
                visit=visit, instrument=instrument, point="exhaust", value_ppm="0,10", measured_at=NOON, **own
            ),
            m.Strike.objects.create(reading=reading, reason="mistyped", **own),
            m.Series.objects.create(cabinet=cabinet, file=file, point="room", **own),
            m.CalendarAddress.objects.create(user=user, token_sha256="0" * 64, **own),
        ]
    with trail.writing(None, user, reason="one of each"):
        made.append(m.Installation.objects.get_or_create()[0])
    made += [file, done, done.cabinet, done.room, organisation, user, user.memberships.get()]
    return {type(row).__name__: row for row in made} | {"draft": draft}


def signed(organisation: Any, user: Any, cabinet: Any, assessment: Any, **other: Any) -> Any:
    """A validation of an assessed case, truly signed and not saved."""
    from stillroom.records import keys, models, statement, trail
    from stillroom.records.canonical import canonical

    head = trail.head(organisation)
    given = {
        "organisation": organisation, "created_by": user, "number": 1, "version": 1, "cabinet": cabinet,
        "assessment": assessment, "record_text": canonical(assessment.record),
        "meaning": "approved and responsible", "signer": user, "signer_name": "One", "signed_at": NOON,
        "event_seq": head.seq, "head": head.hash[:32], "valid_until": DAY,
    }  # fmt: skip
    validation = models.Validation(**given | other)
    statement.seal(validation, keys.own_key())
    return validation


def reviewed(organisation: Any, user: Any, validation: Any) -> Any:
    """A stored review by that person, truly signed."""
    from stillroom.records import keys, models, statement, trail

    head = trail.head(organisation)
    row = models.Review(
        organisation=organisation, created_by=user, validation=validation, meaning="reviewed", reviewer=user,
        reviewer_name="Second", reviewed_at=NOON, event_seq=head.seq, head=head.hash[:32],
    )  # fmt: skip
    statement.seal_review(row, keys.own_key())
    row.save()
    return row
