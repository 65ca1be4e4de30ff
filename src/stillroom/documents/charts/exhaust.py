"""Exhaust fraction of the limit against time: few lines, labelled at their ends, readable without colour."""

from __future__ import annotations

import math
from collections.abc import Sequence

from stillroom.assessment.record import CurveRecord, Record
from stillroom.documents.charts.svg import Drawing, spread
from stillroom.documents.figures import days, percent, plain
from stillroom.documents.text import clean, shorten
from stillroom.documents.words import words_of

__all__ = ["CRITERION", "INKS", "SHOWN", "exhaust_svg"]

CRITERION = 0.01
"""of the limit, in the exhaust, in normal storage: common practice, no source"""
SHOWN = 4
"""curves at most; the table holds the rest"""
INKS = (
    ("#000000", "", "circle"),
    ("#D55E00", "9 3", "square"),
    ("#0072B2", "3 3", "triangle"),
    ("#009E73", "12 3 2 3", "diamond"),
)
"""colour (Okabe and Ito, those that keep 3:1 on white, and black), dash, marker"""
WIDTH, HEIGHT = 696.0, 300.0
LEFT, RIGHT, TOP, BOTTOM = 62.0, 176.0, 26.0, 58.0
DECADES = 6
"""below the top of the axis; anything lower is drawn as an open mark on the axis"""


def _chosen(record: Record) -> list[CurveRecord]:
    """The index, then what governs, then the highest."""
    rank = {"index": 0, record["governing"]: 1}
    usable = [
        curve for curve in record["curves"] if curve["days"] and any(value > 0 for value in curve["p95"])
    ]
    ordered = sorted(usable, key=lambda curve: (rank.get(curve["cas"], 2), -max(curve["p95"])))
    return ordered[:SHOWN]


class _Axes:
    """From days and fractions to places on the drawing; the vertical axis is logarithmic."""

    def __init__(self, curves: Sequence[CurveRecord], width: float, height: float) -> None:
        self.last = max((curve["days"][-1] for curve in curves), default=365.0) or 1.0
        values = [v for curve in curves for v in (*curve["p05"], *curve["p95"]) if v > 0]
        self.high = max(-1, math.ceil(math.log10(max(values, default=CRITERION)) + 0.05))
        lowest = math.floor(math.log10(min(values, default=CRITERION)))
        self.low = max(min(lowest, -3), self.high - DECADES)
        self.bottom, self.right = height - BOTTOM, width - RIGHT
        self.height = height

    def x(self, day: float) -> float:
        return LEFT + (self.right - LEFT) * day / self.last

    def y(self, fraction: float) -> float:
        share = (math.log10(max(fraction, 10.0**self.low)) - self.low) / (self.high - self.low)
        return self.bottom - (self.bottom - TOP) * share

    def seen(self, fraction: float) -> bool:
        return fraction >= 10.0**self.low


def exhaust_svg(
    record: Record,
    *,
    key: str = "exhaust",
    language: str = "en",
    width: float = WIDTH,
    height: float = HEIGHT,
) -> str:
    """A drawing (SVG) of the exhaust as a fraction of the limit [-] against time, with the 1 % criterion.

    Parameters
    ----------
    record : Record
        its `curves`; at most `SHOWN` are drawn: the mixture index, what governs, then the highest
    key : str
        prefix of the ids inside, to be unique on a page
    language : str
        of the words
    width, height : float
        of the drawing in its own units; letters are 11.5 to 13 of them

    Notes
    -----
    A value of zero, or below the axis, has no place on a logarithmic axis and becomes an open mark at its edge.
    """
    words = words_of(language)
    curves = _chosen(record)
    names = [shorten(clean(curve["name"]), 26) for curve in curves]
    top = max((max(curve["p95"]) for curve in curves), default=0.0)
    side = words["chart all below" if top <= CRITERION else "chart some above"]
    axes = _Axes(curves, width, height)
    desc = words["chart exhaust desc"].format(
        names=", ".join(names), draws=record["draws"], days=days(axes.last), top=percent(top), side=side
    )
    drawing = Drawing(
        width, height, words["chart exhaust title"], desc if curves else words["chart none"], key
    )
    if not curves:
        drawing.text(LEFT, height / 2, words["chart none"], size=14)
        return str(drawing)
    _frame(drawing, axes, words["chart x"], words["chart y"])
    for curve, ink in reversed(list(zip(curves, INKS, strict=False))):
        _band(drawing, axes, curve, ink[0])
    _threshold(drawing, axes)
    _life(drawing, axes, record["label_life_days"], words["chart life"])
    for curve, ink in reversed(list(zip(curves, INKS, strict=False))):
        _curve(drawing, axes, curve, ink)
    _labels(drawing, axes, curves, names, words["chart threshold"], words["chart safe"])
    note = words["chart band"].format(draws=record["draws"])
    hidden = len([curve for curve in record["curves"] if curve["days"]]) - len(curves)
    if hidden > 0:
        note += " " + words["chart more"].format(n=hidden)
    drawing.text(LEFT, height - 7, note, size=11.5, fill="#333")
    return str(drawing)


def _frame(drawing: Drawing, axes: _Axes, across: str, up: str) -> None:
    for power in range(axes.low, axes.high + 1):
        y = axes.y(10.0**power)
        drawing.line(LEFT, y, axes.right, y, stroke="#ccc", stroke_width=0.6)
        drawing.text(LEFT - 6, y + 4, f"{plain(100 * 10.0**power)}\u00a0%", size=11.5, text_anchor="end")
    step = next(
        s for s in (1, 2, 5, 10, 20, 30, 60, 90, 180, 365, 730, 1825, 3650, 36500) if axes.last / s <= 8
    )
    for tick in range(0, math.floor(axes.last) + 1, step):
        x = axes.x(tick)
        drawing.line(x, axes.bottom, x, axes.bottom + 4, stroke="#000", stroke_width=0.8)
        drawing.text(x, axes.bottom + 16, str(tick), size=11.5, text_anchor="middle")
    drawing.path(
        [(LEFT, TOP), (LEFT, axes.bottom), (axes.right, axes.bottom)], stroke="#000", stroke_width=0.8
    )
    drawing.text(4, 13, up, size=12, font_weight="600")
    drawing.text(LEFT, axes.height - 23, across, size=12, font_weight="600")


def _band(drawing: Drawing, axes: _Axes, curve: CurveRecord, colour: str) -> None:
    upper = [(axes.x(d), axes.y(v)) for d, v in zip(curve["days"], curve["p95"], strict=True)]
    lower = [(axes.x(d), axes.y(v)) for d, v in zip(curve["days"], curve["p05"], strict=True)]
    drawing.path([*upper, *reversed(lower)], close=True, fill=colour, fill_opacity=0.1)
    for edge in (upper, lower):
        drawing.path(edge, stroke=colour, stroke_width=0.6)


def _curve(drawing: Drawing, axes: _Axes, curve: CurveRecord, ink: tuple[str, str, str]) -> None:
    colour, dash, shape = ink
    points = [(axes.x(d), axes.y(v)) for d, v in zip(curve["days"], curve["p50"], strict=True)]
    drawing.path(
        points, stroke=colour, stroke_width=2, stroke_dasharray=dash or None, stroke_linejoin="round"
    )
    step = max(1, len(points) // 5)
    for index in range(step // 2, len(points), step):
        _mark(drawing, *points[index], shape, colour, solid=axes.seen(curve["p50"][index]))


def _mark(drawing: Drawing, x: float, y: float, shape: str, colour: str, *, solid: bool = True) -> None:
    paint: dict[str, float | str | None] = {
        "fill": colour if solid else "#fff",
        "stroke": colour,
        "stroke_width": 1.2,
    }
    corners: dict[str, list[tuple[float, float]]] = {
        "square": [(-3.6, -3.6), (3.6, -3.6), (3.6, 3.6), (-3.6, 3.6)],
        "triangle": [(0, -4.8), (4.6, 3.4), (-4.6, 3.4)],
        "diamond": [(0, -5), (5, 0), (0, 5), (-5, 0)],
    }
    if shape == "circle":
        drawing.add("circle", cx=x, cy=y, r=3.8, **paint)
    else:
        drawing.path([(x + dx, y + dy) for dx, dy in corners[shape]], close=True, **paint)


def _threshold(drawing: Drawing, axes: _Axes) -> None:
    y = axes.y(CRITERION)
    drawing.line(LEFT, y, axes.right, y, stroke="#000", stroke_width=2.4)


def _life(drawing: Drawing, axes: _Axes, life: float | None, label: str) -> None:
    if life is None or not 0 < life <= axes.last:
        return
    x = axes.x(life)
    drawing.line(x, TOP, x, axes.bottom, stroke="#000", stroke_width=1, stroke_dasharray="2 3")
    anchor = "middle" if x < axes.right - 50 else "end"
    drawing.text(x, TOP - 5, label.format(days=days(life)), size=11.5, text_anchor=anchor)


def _labels(
    drawing: Drawing, axes: _Axes, curves: Sequence[CurveRecord], names: Sequence[str], line: str, safe: str
) -> None:
    """Names at the ends of their lines; the criterion's label keeps its place and the names make room."""
    y = axes.y(CRITERION)
    wanted = [axes.y(curve["p50"][-1]) for curve in curves]
    over = [max(w, y + 40) if w >= y else min(w, y - 16) for w in wanted]
    heights = spread(over, gap=16, low=TOP + 4, high=axes.bottom - 2)
    drawing.text(axes.right + 8, y - 3, line, size=13, font_weight="700")
    drawing.text(axes.right + 8, y + 12, f"↓ {safe}", size=11.5)
    for curve, name, ink, height in zip(curves, names, INKS, heights, strict=False):
        end = axes.y(curve["p50"][-1])
        drawing.path(
            [(axes.right, end), (axes.right + 10, height), (axes.right + 14, height)],
            stroke=ink[0],
            stroke_width=0.8,
        )
        _mark(drawing, axes.right + 20, height, ink[2], ink[0], solid=axes.seen(curve["p50"][-1]))
        drawing.text(axes.right + 29, height + 4, name, size=12)
