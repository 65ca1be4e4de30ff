"""Where everything stands, in one cabinet or several: an inventory and cabinets in, a settled plan and its drawings out."""

from __future__ import annotations

from collections.abc import Sequence

from stillroom.assessment.record import Record
from stillroom.cabinet.design import Cabinet
from stillroom.inventory.model import Container
from stillroom.segregation import Settled, conflicts, settle
from stillroom.services.record import shelf_records

__all__ = ["drawings", "placed"]


def placed(
    containers: Sequence[Container], cabinets: Sequence[Cabinet], *, seed: int = 1, seconds: float = 3.0
) -> Settled:
    """Where everything stands. It does not say that it may be there.

    Parameters
    ----------
    containers : sequence of Container
        Those of unknown contents find no place.
    cabinets : sequence of Cabinet
        In the order in which the plan counts them.
    seed : int
        Same seed, same plan [-].
    seconds : float
        Effort of each search [s].
    """
    known = tuple(item for item in containers if item.known)
    return settle(known, cabinets, conflicts(known), seed=seed, seconds=seconds)


def drawings(settled: Settled, cabinets: Sequence[Cabinet]) -> dict[str, bytes]:
    """File name to SVG: each cabinet from the front, and its shelves from above."""
    from stillroom.documents.charts import front_svg, shelves_svg

    files = {}
    for number, cabinet in enumerate(cabinets):
        shelves = shelf_records(cabinet, settled.plan, number=number)
        view: Record = {"placement": {"shelves": shelves, "not_placed": [], "words": []}}  # type: ignore[typeddict-item]
        stem = f"cabinet-{number + 1}" if len(cabinets) > 1 else "cabinet"
        files[f"{stem}-front.svg"] = front_svg(view).encode()
        files[f"{stem}-shelves.svg"] = shelves_svg(view).encode()
    return files
