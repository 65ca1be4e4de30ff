"""The demo's invented picture studio, stored, assessed and signed: its filter wears out within the year."""

from __future__ import annotations

import datetime
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

import stillroom.cli

FILES = Path(stillroom.cli.__file__).parent / "demo"
ASSESSED = datetime.date(2026, 1, 10)
CONTENT = (FILES / "inventory-studio.csv").read_bytes()


def inputs(assessed: datetime.date = ASSESSED) -> dict[str, Any]:
    tables = {
        name: tomllib.loads((FILES / file).read_text("utf-8"))
        for name, file in (("cabinet", "cabinet.toml"), ("room", "room-studio.toml"))
    }
    return {**tables, "date": assessed.isoformat(), "seed": 1, "draws": 400, "invented": True}


@cache
def record(assessed: datetime.date = ASSESSED) -> dict[str, Any]:
    from stillroom import inventory
    from stillroom.cabinet.load import parse_cabinet
    from stillroom.room.load import parse_room
    from stillroom.services.assess import assess

    asked = inputs(assessed)
    read = inventory.read_bytes(CONTENT, "inventory-studio.csv")
    made = assess(
        read,
        parse_cabinet(asked["cabinet"]),
        parse_room(asked["room"]),
        date=assessed,
        draws=400,
        invented=True,
    )
    assert made["verdict"] in ("approved", "approved with conditions"), made["verdict_words"]
    return dict(made)


def keep_studio(
    organisation: Any,
    user: Any,
    *,
    assessed: datetime.date = ASSESSED,
    calibrated: tuple[datetime.date, ...] = (datetime.date(2026, 1, 5), datetime.date(2026, 6, 1)),
) -> Any:
    """The cabinet with its signed validation and a calibrated instrument; all invented."""
    from audit.rows import signed
    from stillroom.records.models import Cabinet
    from stillroom.records.store import conclude, keep_file, new_draft, update_draft
    from stillroom.records.trail import writing
    from stillroom.services.instruments import add_calibration, keep_instrument

    file = keep_file(organisation, user, name="inventory-studio.csv", content=CONTENT)
    case = new_draft(organisation, user, title="Studio", inputs=inputs(assessed))
    update_draft(case, user, inventory=file)
    conclude(case, user, record=record(assessed))
    with writing(organisation, user, reason="the studio's cabinet is kept"):
        cabinet = Cabinet.objects.create(name="Studio", organisation=organisation, created_by=user)
        signed(
            organisation,
            user,
            cabinet,
            case,
            valid_until=assessed + datetime.timedelta(days=365),
            signed_at=datetime.datetime.combine(assessed, datetime.time(12), datetime.UTC),
        ).save()
    factor = {"cas": "108-88-3", "name": "toluene", "factor": 0.5, "source": "manual (invented)"}
    instrument = keep_instrument(
        organisation, user, name="P1", kind="photoionisation detector", lamp_eV=10.6, detection_limit_ppm=0.01,
        response_factors=[factor],
    )  # fmt: skip
    for day in calibrated:
        due = day + datetime.timedelta(days=100)
        add_calibration(instrument, user, on=day, due=due, by="A")
    return cabinet, instrument
