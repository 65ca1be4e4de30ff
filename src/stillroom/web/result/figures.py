"""The drawings of a result."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.utils.translation import gettext as _

from stillroom.web.result.context import Figure
from stillroom.web.shared.svg import inline

__all__ = ["figures"]


def figures(record: dict[str, Any]) -> dict[str, Figure]:
    """Exhaust against time, the four clocks, and the shelves; one is left out where the record has nothing to draw."""
    from stillroom.documents import charts

    wanted: list[tuple[str, bool, Callable[[Any], str], str, str]] = [
        ("exhaust", bool(record["curves"]), charts.exhaust_svg, _("What the exhaust carries, against time"),
         _("Below the thick line the criterion of normal storage is kept.")),
        ("clocks", bool(record["clocks"]), charts.clocks_svg, _("The four clocks"),
         _("Each bar goes from the cautious end to the far end; the earliest cautious end is the filter's life.")),
        ("shelves", bool(record["placement"]["shelves"]), charts.shelves_svg, _("Where each container stands"),
         _("Each shelf from above, its front edge below; the top shelf first.")),
    ]  # fmt: skip
    return {
        name: Figure(title=title, svg=inline(draw(record)), caption=caption)
        for name, there, draw, title, caption in wanted
        if there
    }
