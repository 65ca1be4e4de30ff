"""The four clocks as intervals on one axis of days."""

from __future__ import annotations

import math

from stillroom.assessment.record import ClockRecord, Record
from stillroom.documents.charts.svg import Drawing
from stillroom.documents.figures import days, interval
from stillroom.documents.text import clean, shorten
from stillroom.documents.words import Words, words_of

__all__ = ["clocks_svg"]

WIDTH, LEFT, RIGHT, TOP, ROW = 696.0, 150.0, 26.0, 26.0, 34.0


def clocks_svg(record: Record, *, key: str = "clocks", language: str = "en") -> str:
    """A drawing (SVG) of the four clocks: 5 % to 95 % as a bar, the median as a mark, in days.

    A clock that does not run out in the time computed has an open arrow; the words say so as well.
    """
    words = words_of(language)
    clocks = record["clocks"]
    ends = [value for clock in clocks for value in clock["days"].values() if isinstance(value, int | float)]
    last = max([*ends, record["label_life_days"] or 0.0, 30.0])
    height = TOP + ROW * len(clocks) + 40
    desc = " ".join(
        words["chart clock row"].format(name=_name(clock, words), text=_said(clock, words))
        for clock in clocks
    )
    drawing = Drawing(WIDTH, height, words["chart clocks title"], desc, key)
    bottom = TOP + ROW * len(clocks)
    scale = (WIDTH - LEFT - RIGHT) / last
    _axis(drawing, last, scale, bottom, words["chart clocks x"])
    life = record["label_life_days"]
    if life is not None and life > 0:
        x = LEFT + scale * life
        drawing.line(x, TOP - 6, x, bottom, stroke_width=1, stroke_dasharray="2 3")
        anchor = "middle" if x < WIDTH - RIGHT - 50 else "end"
        drawing.text(x, TOP - 10, words["chart life"].format(days=days(life)), size=11.5, text_anchor=anchor)
    for index, clock in enumerate(clocks):
        _row(drawing, clock, TOP + ROW * (index + 0.5), scale, last, words)
    return str(drawing)


def _name(clock: ClockRecord, words: Words) -> str:
    return words[f"clock {clock['name']}"]


def _said(clock: ClockRecord, words: Words) -> str:
    median, span = interval(clock["days"], days, words)
    if median == words["no value"]:
        return words["not within"] + "."
    return f"{median} ({span}) {words['day unit']}." if span else f"{median} {words['day unit']}."


def _axis(drawing: Drawing, last: float, scale: float, bottom: float, label: str) -> None:
    step = next(s for s in (5, 10, 30, 60, 90, 180, 365, 730, 3650, 36500) if last / s <= 9)
    for tick in range(0, math.floor(last) + 1, step):
        x = LEFT + scale * tick
        drawing.line(x, TOP, x, bottom, stroke="#ccc", stroke_width=0.6)
        drawing.text(x, bottom + 15, str(tick), size=11.5, text_anchor="middle")
    drawing.line(LEFT, bottom, LEFT + scale * last, bottom, stroke_width=0.8)
    drawing.line(LEFT, TOP, LEFT, bottom, stroke_width=0.8)
    drawing.text(LEFT, bottom + 33, label, size=12, font_weight="600")


def _row(drawing: Drawing, clock: ClockRecord, y: float, scale: float, last: float, words: Words) -> None:
    name = _name(clock, words)
    vapour = shorten(clean(clock["governing_name"]), 24)
    drawing.text(LEFT - 10, y + (0 if vapour else 4), name, size=13, font_weight="700", text_anchor="end")
    if vapour:
        drawing.text(LEFT - 10, y + 13, vapour, size=11.5, text_anchor="end")
    early, middle, late = clock["days"]["p05"], clock["days"]["p50"], clock["days"]["p95"]
    if early is None:
        drawing.halo(LEFT + 8, y + 4, words["not within"], size=12)
        return
    start, end = LEFT + scale * early, LEFT + scale * (last if late is None else late)
    drawing.add(
        "rect", x=start, y=y - 6, width=max(end - start, 3), height=12, fill="#0072B2", fill_opacity=0.22,
        stroke="#0072B2", stroke_width=1.2,
    )  # fmt: skip
    if late is None:
        drawing.path([(end + 3, y - 8), (end + 14, y), (end + 3, y + 8)], stroke="#0072B2", stroke_width=2)
    if middle is not None:
        drawing.line(
            LEFT + scale * middle, y - 9, LEFT + scale * middle, y + 9, stroke="#000", stroke_width=2.4
        )
    said = _said(clock, words).rstrip(".")
    if start - LEFT > 7 * len(said):
        drawing.halo(start - 8, y + 4, said, size=11.5, text_anchor="end")
