"""Compute an assessment, or hand over the one that was computed here from the very same: visits ask for it again and again."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass, field
from functools import lru_cache
from typing import Any

import stillroom
from stillroom import assessment, media
from stillroom.assessment.result import Assessment
from stillroom.cabinet.design import Cabinet
from stillroom.inventory.model import Inventory
from stillroom.room.model import Room
from stillroom.substances import limits
from stillroom.substances.model import Limit

__all__ = ["computed"]

_KEPT = 4
"""Assessments that are kept in a process, some 20 MB each with 1000 draws [-]."""


@dataclass(frozen=True, slots=True)
class _Question:
    """Everything that makes the answer, by digest; equal questions have equal answers."""

    digest: str
    asked: dict[str, Any] = field(compare=False, repr=False)


def computed(
    inventory: Inventory,
    cabinet: Cabinet,
    room: Room,
    *,
    seed: int,
    draws: int,
    hand_limits: Sequence[Limit] = (),
) -> Assessment:
    """The assessment, as `assessment.assess` gives it. Nobody writes into what is handed over.

    Parameters
    ----------
    inventory : Inventory
    cabinet : Cabinet
    room : Room
    seed : int
        Of the Monte Carlo draws [-].
    draws : int
        Number of draws [-].
    hand_limits : sequence of Limit
        Typed by the user, those of the room's file too.

    Notes
    -----
    A list of limits or a medium that is loaded anew has another digest, so it is computed again.
    """
    parts = [asdict(inventory), asdict(cabinet), asdict(room), *(asdict(limit) for limit in hand_limits)]
    made_by = (stillroom.__version__, limits.versions(), media.versions())
    whole = [parts, made_by, seed, draws]
    text = json.dumps(whole, sort_keys=True, ensure_ascii=False, default=str)
    asked = {
        "inventory": inventory,
        "cabinet": cabinet,
        "room": room,
        "seed": seed,
        "draws": draws,
        "hand_limits": list(hand_limits),
    }
    return _answer(_Question(hashlib.sha256(text.encode()).hexdigest(), asked))


@lru_cache(maxsize=_KEPT)
def _answer(question: _Question) -> Assessment:
    return assessment.assess(**question.asked)
