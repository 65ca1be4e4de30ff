"""The steps of a scenario. Each calls one service and gives what was done and what was answered, in a line each."""

from __future__ import annotations

import csv
import datetime
import io
import tomllib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from django.utils import timezone

from stillroom.errors import InputError, Problem
from stillroom.records.models import (
    Assessment,
    Cabinet,
    FilterChange,
    Instrument,
    Organisation,
    User,
    Validation,
    make_key,
)
from stillroom.records.store import conclude, copy_of, new_draft, take_inventory, update_draft
from stillroom.services.assess_case import assess_case
from stillroom.services.cabinets import keep_cabinet
from stillroom.services.compare import compare, lines
from stillroom.services.forecast import forecast, record_beds
from stillroom.services.in_place import standing_in
from stillroom.services.instruments import add_calibration, keep_instrument
from stillroom.services.origin import origin_of
from stillroom.services.replace_filter import LeakCheck, NewBed, replace_filter
from stillroom.services.sign import record_of, sign
from stillroom.services.visit import Entry, take_series, take_visit
from stillroom.units.files import plain_cell

__all__ = ["STEPS", "Stage"]

Answer = tuple[str, str]
"""What was done; what was said to it."""


@dataclass
class Stage:
    """What a scenario has made so far, by the names that it gives."""

    folder: Path
    draws: int
    organisation: Organisation
    people: dict[str, User]
    passwords: Mapping[str, str]
    cabinets: dict[str, Cabinet] = field(default_factory=dict)
    instruments: dict[str, Instrument] = field(default_factory=dict)
    cases: dict[str, Assessment] = field(default_factory=dict)
    validations: list[Validation] = field(default_factory=list)
    changes: list[FilterChange] = field(default_factory=list)
    differences: list[dict[str, Any]] = field(default_factory=list)

    def tables(self, file: str) -> dict[str, Any]:
        return tomllib.loads((self.folder / file).read_text("utf-8"))

    def content(self, file: str) -> bytes:
        return (self.folder / file).read_bytes()


def _cabinet(
    stage: Stage, *, key: str, by: str, name: str, serial: str, site: str, room: str, place: str
) -> Answer:
    stage.cabinets[key] = keep_cabinet(
        stage.organisation,
        stage.people[by],
        name=name,
        serial=serial,
        site=site,
        room=room,
        place=place,
        commissioned=timezone.localdate(),
    )
    return f"{stage.cabinets[key].name} comes into use", ""


def _instrument(
    stage: Stage,
    *,
    key: str,
    by: str,
    name: str,
    kind: str,
    detection_limit_ppm: float,
    response: Sequence[Mapping[str, Any]],
    lamp_eV: float | None = None,
) -> Answer:
    stage.instruments[key] = keep_instrument(
        stage.organisation,
        stage.people[by],
        name=name,
        kind=kind,
        lamp_eV=lamp_eV,
        detection_limit_ppm=detection_limit_ppm,
        response_factors=response,
    )
    return f"{name} is taken in", ""


def _calibrate(
    stage: Stage, *, instrument: str, days: int, by: str, gas: str, certificate: str, person: str
) -> Answer:
    on = timezone.localdate()
    row = add_calibration(
        stage.instruments[instrument],
        stage.people[by],
        on=on,
        due=on + datetime.timedelta(days=days),
        by=person,
        gas=gas,
        certificate=certificate,
    )
    return f"{row.instrument.name} is calibrated", f"due again on {row.due}"


def _assess(
    stage: Stage, *, case: str, title: str, inventory: str, cabinet: str, room: str, by: str
) -> Answer:
    user = stage.people[by]
    inputs = {
        "cabinet": stage.tables(cabinet),
        "room": stage.tables(room),
        "date": timezone.localdate().isoformat(),
        "seed": 1,
        "draws": stage.draws,
        "invented": True,
    }
    row = new_draft(stage.organisation, user, title=title, inputs=inputs)
    take_inventory(row, user, name=Path(inventory).name, content=stage.content(inventory))
    return f"{title}: assessed", _concluded(stage, case, row, user)


def _change(stage: Stage, *, case: str, of: str, by: str, why: str, inventory: str = "") -> Answer:
    user = stage.people[by]
    row = copy_of(stage.cases[of], user)
    update_draft(row, user, date=timezone.localdate().isoformat())
    if inventory:
        take_inventory(row, user, name=Path(inventory).name, content=stage.content(inventory))
    said = _concluded(stage, case, row, user)
    origin = origin_of(row)
    if origin is not None and row.record is not None:
        difference = compare(origin.record, row.record)
        stage.differences.append(difference)
        moved = [
            f"{item['name']} {item['change']}"
            for item in difference["containers"]
            if item["change"] != "changed"
        ]
        moved += lines(difference)
        said = f"{said}; against what was signed: {', '.join(moved) or 'nothing differs'}"
    return f"{row.title}: {why}; assessed again", said


def _concluded(stage: Stage, case: str, row: Assessment, user: User) -> str:
    conclude(row, user, record=assess_case(row))
    stage.cases[case] = row
    assert row.record is not None
    record = row.record
    if record["verdict"] == "not approved":
        refused = [item["name"] for item in record["substances"] if item["verdict"] == "not approved"]
        unknown = [item["name"] for item in record["containers"] if item["verdict"] == "cannot tell"]
        return f"not approved: {', '.join([*refused, *unknown])}"
    return f"{record['verdict']}; filter life {record['label_life_days']:.0f} days"


def _sign(stage: Stage, *, case: str, cabinet: str, meaning: str, by: str) -> Answer:
    user = stage.people[by]
    row = sign(
        stage.cases[case],
        user,
        cabinet=stage.cabinets[cabinet],
        meaning=meaning,
        username=user.get_username(),
        password=stage.passwords[user.get_username()],
    )
    stage.validations.append(row)
    name = stage.cabinets[cabinet].name
    if row.valid_until is None:
        return f"{name}: V{row.number} signed by {row.signer_name}: {row.meaning}", "nothing is approved"
    conditions = len(record_of(row)["conditions"])
    return (
        f"{name}: V{row.number} signed by {row.signer_name}: {row.meaning}",
        f"holds until {row.valid_until}, under {conditions} conditions",
    )


def _filter(
    stage: Stage,
    *,
    cabinet: str,
    beds: Sequence[Mapping[str, Any]],
    leak: str,
    method: str,
    limit: str,
    reason: str,
    by: str,
    removed_g: float | None = None,
) -> Answer:
    row, user, on = stage.cabinets[cabinet], stage.people[by], timezone.localdate()
    validated = record_beds(_standing(row, on))
    put_in = [
        NewBed(str(known["medium"]), float(known["mass_kg"]), str(bed["serial"]), bed.get("weighed_g"))
        for known, bed in zip(validated, beds, strict=True)
    ]
    change = replace_filter(
        row,
        user,
        key=make_key(),
        on=on,
        by=user.get_full_name(),
        beds=put_in,
        leak_check=LeakCheck(leak, method, limit),
        removed_mass_g=removed_g,
        reason=reason,
        today=on,
    )
    stage.changes.append(change)
    serials = ", ".join(bed.serial for bed in put_in)
    plan = forecast(row, on)
    said = f"replace by {plan.by}" if plan.by else plan.words[-1]
    return f"{row.name}: filter {serials} put in ({reason}); leak check {leak}", said


def _standing(cabinet: Cabinet, on: datetime.date) -> Validation:
    found = standing_in(cabinet, on)
    if found is None:
        raise InputError(Problem(f"no validation of {cabinet} stands on {on}", "Sign one before its filter."))
    return found


def _visit(
    stage: Stage,
    *,
    cabinet: str,
    instrument: str,
    reading: Sequence[Mapping[str, str]],
    by: str,
    note: str = "",
) -> Answer:
    user = stage.people[by]
    visit = take_visit(
        stage.cabinets[cabinet],
        user,
        key=make_key(),
        instrument=stage.instruments[instrument],
        entries=[
            Entry(point=item["point"], value=item["value"], unit=item.get("unit", "ppm")) for item in reading
        ],
        measured_at=timezone.now(),
        person=user.get_full_name(),
        note=note,
    )
    rows = list(visit.readings.order_by("pk"))
    values = ", ".join(f"{row.point} {row.value_ppm} {row.unit}" for row in rows)
    expected = [_expected(row.point, row.answer) for row in rows]
    together = rows[0].answer["together"]
    said = " ".join([f"{'; '.join(expected)}.", *together["words"]])
    return f"{visit.cabinet.name}: visit with {stage.instruments[instrument].name}: {values}", said


def _expected(point: str, answer: Mapping[str, Any]) -> str:
    band = answer["expected"]
    if band is None:
        return f"{point}: {answer['verdict']}"
    return f"{point} {answer['verdict']} (expected {band['p05']:.2g} to {band['p95']:.2g} ppm)"


def _series(stage: Stage, *, cabinet: str, instrument: str, point: str, file: str, by: str) -> Answer:
    content = _dated(stage.content(file), timezone.localdate())
    row = take_series(
        stage.cabinets[cabinet],
        stage.people[by],
        instrument=stage.instruments[instrument],
        point=point,
        bed_number=1,
        content=content,
        name=Path(file).name,
    )
    told = row.summary
    what = f"{told['values']} values from {told['first']} to {told['last']}, {len(told['gaps'])} gaps, {len(told['faults'])} cells left out"
    return (
        f"{row.cabinet.name}: file of {stage.instruments[instrument].name} at the {point}: {what}",
        " ".join(told["answer"]["words"]),
    )


def _dated(content: bytes, end: datetime.date) -> bytes:
    """The file of a sensor, whose days count to the day on which it is read out, with dates instead."""
    rows = csv.reader(io.StringIO(content.decode("utf-8")))
    out = io.StringIO()
    writer = csv.writer(out)
    _, _, header = next(rows)
    writer.writerow(["time", plain_cell(header)])
    for day, time, value in rows:
        writer.writerow([f"{end + datetime.timedelta(days=int(day))} {time}", plain_cell(value)])
    return out.getvalue().encode()


STEPS: dict[str, Callable[..., Answer]] = {
    "cabinet": _cabinet,
    "instrument": _instrument,
    "calibrate": _calibrate,
    "assess": _assess,
    "change": _change,
    "sign": _sign,
    "filter": _filter,
    "visit": _visit,
    "series": _series,
}
