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


def inputs() -> dict[str, Any]:
    tables = {
        name: tomllib.loads((FILES / file).read_text("utf-8"))
        for name, file in (("cabinet", "cabinet.toml"), ("room", "room-studio.toml"))
    }
    return {**tables, "date": ASSESSED.isoformat(), "seed": 1, "draws": 400, "invented": True}


@cache
def record() -> dict[str, Any]:
    from stillroom import inventory
    from stillroom.cabinet.load import parse_cabinet
    from stillroom.room.load import parse_room
    from stillroom.services.assess import assess

    asked = inputs()
    read = inventory.read_bytes(CONTENT, "inventory-studio.csv")
    made = assess(
        read,
        parse_cabinet(asked["cabinet"]),
        parse_room(asked["room"]),
        date=ASSESSED,
        draws=400,
        invented=True,
    )
    assert made["verdict"] in ("approved", "approved with conditions"), made["verdict_words"]
    return dict(made)


def keep_studio(organisation: Any, user: Any) -> Any:
    """The cabinet with its signed validation and a calibrated instrument; all invented."""
    from audit.rows import signed
    from stillroom.records.models import Cabinet
    from stillroom.records.store import conclude, keep_file, new_draft, update_draft
    from stillroom.records.trail import writing
    from stillroom.services.instruments import add_calibration, keep_instrument

    file = keep_file(organisation, user, name="inventory-studio.csv", content=CONTENT)
    case = new_draft(organisation, user, title="Studio", inputs=inputs())
    update_draft(case, user, inventory=file)
    conclude(case, user, record=record())
    with writing(organisation, user, reason="the studio's cabinet is kept"):
        cabinet = Cabinet.objects.create(name="Studio", organisation=organisation, created_by=user)
        signed(
            organisation,
            user,
            cabinet,
            case,
            valid_until=datetime.date(2027, 1, 10),
            signed_at=datetime.datetime(2026, 1, 10, 12, tzinfo=datetime.UTC),
        ).save()
    factor = {"cas": "108-88-3", "name": "toluene", "factor": 0.5, "source": "manual (invented)"}
    instrument = keep_instrument(
        organisation, user, name="P1", kind="photoionisation detector", lamp_eV=10.6, detection_limit_ppm=0.01,
        response_factors=[factor],
    )  # fmt: skip
    for day in (datetime.date(2026, 1, 5), datetime.date(2026, 6, 1)):
        due = day + datetime.timedelta(days=100)
        add_calibration(instrument, user, on=day, due=due, by="A")
    return cabinet, instrument
