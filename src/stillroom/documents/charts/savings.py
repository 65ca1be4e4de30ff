"""What a year costs of a ducted and of a filtered cabinet: two bars of parts on one axis of money."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from stillroom.documents.charts.svg import Drawing
from stillroom.documents.text import clean

__all__ = ["savings_svg"]

_WIDTH, _LEFT, _RIGHT, _TOP, _ROW, _BAR = 696.0, 210.0, 92.0, 30.0, 26.0, 14.0
_FILL = {"ducted": "#D55E00", "filtered": "#0072B2"}


def savings_svg(parts: Mapping[str, Mapping[str, float]], currency: str, *, key: str = "savings") -> str:
    """A drawing (SVG): each part of either cabinet's year, its middle as a bar, 5 to 95 % as a line.

    Parameters
    ----------
    parts : Mapping
        "ducted: fan" and the like to p05, p50, p95 [currency/year].
    currency : str
        Printed as it is.
    key : str
        Makes the drawing's ids unique on its page.
    """
    rows = [(name, span) for name, span in parts.items() if span["p95"] > 0.0]
    last = max([span["p95"] for _, span in rows] or [1.0])
    desc = " ".join(
        f"{name} {span['p50']:.0f} ({span['p05']:.0f} to {span['p95']:.0f})." for name, span in rows
    )
    bottom = _TOP + _ROW * len(rows)
    drawing = Drawing(
        _WIDTH, bottom + 44, f"What a year costs, part by part, in {clean(currency)}", desc, key
    )
    scale = (_WIDTH - _LEFT - _RIGHT) / last
    _axis(drawing, last, scale, bottom, currency)
    for index, (name, span) in enumerate(rows):
        _bar(drawing, name, span, _TOP + _ROW * (index + 0.5), scale)
    return str(drawing)


def _axis(drawing: Drawing, last: float, scale: float, bottom: float, currency: str) -> None:
    for tick in _ticks(last):
        x = _LEFT + scale * tick
        drawing.line(x, _TOP, x, bottom, stroke="#ccc", stroke_width=0.6)
        drawing.text(x, bottom + 15, f"{tick:,.0f}".replace(",", "\u202f"), size=11.5, text_anchor="middle")
    drawing.line(_LEFT, _TOP, _LEFT, bottom, stroke_width=0.8)
    drawing.text(_LEFT, bottom + 34, f"{clean(currency)} a year", size=12, font_weight="600")


def _ticks(last: float) -> Sequence[float]:
    """Round figures up to `last`, at most seven.

    Examples
    --------
    >>> _ticks(4300.0)
    [0.0, 1000.0, 2000.0, 3000.0, 4000.0]
    """
    power = 10.0 ** math.floor(math.log10(last))
    step = next(step for step in (0.2 * power, 0.5 * power, power, 2.0 * power) if last / step < 7.0)
    return [step * n for n in range(math.floor(last / step) + 1)]


def _bar(drawing: Drawing, name: str, span: Mapping[str, float], y: float, scale: float) -> None:
    kind = name.partition(":")[0]
    drawing.text(_LEFT - 10, y + 4, name, size=12, text_anchor="end")
    end = _LEFT + scale * span["p50"]
    drawing.add(
        "rect", x=_LEFT, y=y - _BAR / 2, width=max(end - _LEFT, 1.0), height=_BAR, fill=_FILL.get(kind, "#555"), fill_opacity=0.75,
    )  # fmt: skip
    low, high = _LEFT + scale * span["p05"], _LEFT + scale * span["p95"]
    if high - low > 1.0:
        drawing.line(low, y, high, y, stroke_width=1.6)
        for x in (low, high):
            drawing.line(x, y - 4, x, y + 4, stroke_width=1.6)
    said = f"{span['p50']:,.0f}".replace(",", "\u202f")
    drawing.text(max(end, high) + 8, y + 4, said, size=11.5)
