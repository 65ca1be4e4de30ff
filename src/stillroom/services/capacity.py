"""The retention listing of a medium, as data, table and paper."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import asdict
from typing import Any

from stillroom import fleet
from stillroom.assessment.listing import Conditions, listing
from stillroom.media.model import Medium

__all__ = ["as_csv", "as_pdf", "capacity"]

_COLUMNS = (
    "cas", "name", "first_layer_g", "p05", "p95", "second_layer_g", "second_p05", "second_p95", "hours", "hours_p05",
    "hours_p95", "end_ppm", "end_basis", "origin", "remark",
)  # fmt: skip


def capacity(
    medium: Medium,
    *,
    layers: int = 1,
    conditions: Conditions | None = None,
    cas: Iterable[str] | None = None,
    seed: int = 1,
) -> dict[str, Any]:
    """The listing as JSON values.

    Parameters
    ----------
    medium : Medium
        Of all layers.
    layers : int
        In series.
    conditions : Conditions
        None: the usual ones.
    cas : iterable of str
        None: all that can be computed.
    seed : int
        Same seed, same listing.

    Returns
    -------
    dict
        ``medium, layers, conditions, substances``; of each substance what the first and the second layer hold [g],
        ``p05`` and ``p95`` of the first.
    """
    at = conditions or Conditions()
    rows = listing(medium, layers=layers, conditions=at, cas=cas, seed=seed)
    return {
        "medium": medium.name,
        "layers": layers,
        "conditions": {"words": at.words(), **asdict(at)},
        "substances": [
            {
                "cas": row.cas,
                "name": row.name,
                "first_layer_g": _digits(row.first[1]),
                "second_layer_g": None if row.second is None else _digits(row.second[1]),
                "p05": _digits(row.first[0]),
                "p95": _digits(row.first[2]),
                "second_p05": None if row.second is None else _digits(row.second[0]),
                "second_p95": None if row.second is None else _digits(row.second[2]),
                "hours": _digits(row.hours[1]),
                "hours_p05": _digits(row.hours[0]),
                "hours_p95": _digits(row.hours[2]),
                "end_ppm": _digits(row.end_ppm),
                "end_basis": row.end_basis,
                "origin": row.origin,
                "remark": row.remark,
            }
            for row in rows
        ],
    }


def as_csv(found: Mapping[str, Any]) -> str:
    """The listing as a table."""
    return fleet.as_csv(found["substances"], _COLUMNS)


def as_pdf(found: Mapping[str, Any], *, date: str) -> bytes:
    """The listing on paper; `date` is an ISO date."""
    from stillroom.documents.listing import listing_pdf

    return listing_pdf(found, date=date)


def _digits(value: float) -> float:
    return float(f"{value:.4g}")
