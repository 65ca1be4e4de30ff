"""Cabinets with true, signed assessments, small enough for tests; all invented."""

from __future__ import annotations

import datetime
from typing import Any

ASSESSED = datetime.date(2026, 11, 4)
LIST = (
    '# key = "works"\n# title = "Works (invented)"\n# edition = "{edition}"\n# source = "annex 3 (invented)"\n'
    "cas,name,basis,value,unit\n108-88-3,Toluene,TWA,{toluene},ppm\n67-64-1,Acetone,TWA,250,ppm\n"
)


def load(toluene: float, edition: str = "1", **more: Any) -> Any:
    """The invented list, with a limit for toluene [ppm]."""
    from stillroom.services.load_limits import load_limits

    text = LIST.format(toluene=toluene, edition=edition)
    return load_limits(text.encode(), file="works.csv", **more)


def keep(organisation: Any, user: Any, name: str, bottles: str, *lists: str, sign: bool = True) -> Any:
    """The signed validation of a cabinet of that name; its assessment where it is not signed."""
    from stillroom.cabinet.load import shipped_tables
    from stillroom.records.models import Cabinet
    from stillroom.records.store import keep_file, new_draft, update_draft
    from stillroom.records.trail import writing

    inputs = {
        "seed": 1,
        "draws": 100,
        "date": ASSESSED.isoformat(),
        "invented": True,
        "cabinet": shipped_tables("full-height"),
        "room": {
            "room": {"name": "1.14 (invented)", "volume_m3": 62.0, "air_changes_per_h": 6.0},
            "limits": {"lists": list(lists), "ordering": "strictest"},
            "rules": {"cleanup_minutes": 15.0},
        },
    }
    content = f"name,cas,amount,unit,count\n{bottles}".encode()
    case = new_draft(organisation, user, title=name, inputs=inputs)
    update_draft(case, user, inventory=keep_file(organisation, user, name="bottles.csv", content=content))
    conclude_as_computed(case, user)
    if not sign:
        return case
    with writing(organisation, user, reason="a cabinet is kept"):
        cabinet = Cabinet.objects.create(
            name=name, site="Invented Works", organisation=organisation, created_by=user
        )
    return signed(case, user, cabinet)


def conclude_as_computed(case: Any, user: Any) -> None:
    from stillroom.records.store import conclude
    from stillroom.web.shared import core

    conclude(case, user, record=core.assess(case))


def signed(case: Any, user: Any, cabinet: Any) -> Any:
    from stillroom.services.sign import sign

    meaning = "approved and responsible"
    return sign(
        case, user, cabinet=cabinet, meaning=meaning, password="", continued=True, check=lambda *_: True
    )
