"""The first assessment's wait, spent beforehand: libraries and tables are loaded while nobody asks for anything."""

from __future__ import annotations

import datetime
import logging
import threading

__all__ = ["start", "warm"]

log = logging.getLogger(__name__)

_ROWS = b"name,cas,amount,unit,concentration\nAcetone,67-64-1,1,L,\nAcetic acid,64-19-7,1,L,10 %\n"
_ROOM = {"room": {"name": "none", "volume_m3": 60.0, "air_changes_per_h": 6.0}}


def start() -> threading.Thread:
    """Warm up beside the server, which does not wait for it and outlives its failure."""
    thread = threading.Thread(target=warm, name="warm-up", daemon=True)
    thread.start()
    return thread


def warm() -> None:
    """One small assessment with its papers, thrown away. Touches no database; whatever goes wrong is only logged."""
    try:
        from stillroom import inventory
        from stillroom.cabinet.load import load_cabinet, shipped
        from stillroom.room.load import parse_room
        from stillroom.services.assess import assess
        from stillroom.services.papers import papers

        contents = inventory.read_bytes(_ROWS, "warm-up.csv")
        cabinet, room = load_cabinet(shipped()[0]), parse_room(_ROOM)
        record = assess(contents, cabinet, room, date=datetime.date(2000, 1, 1), draws=100)
        papers(record, base_url="https://stillroom.invalid")
    except Exception:
        log.warning("the warm-up failed; the first assessment takes a few seconds longer", exc_info=True)
