"""Shelves to scale: the cabinet from the front, and each shelf from above with every container."""

from __future__ import annotations

import math
from collections.abc import Sequence

from stillroom.assessment.record import PlacedRecord, Record, ShelfRecord
from stillroom.documents.charts.svg import Drawing, figure
from stillroom.documents.text import clean
from stillroom.documents.words import Words, words_of

__all__ = ["KINDS", "front_svg", "legend_svg", "shelf_svg", "shelves_svg"]

KINDS = ("flammable", "acid", "base", "oxidiser", "toxic", "other")
HATCH = {
    "flammable": "M0 8L8 0M-2 2L2 -2M6 10L10 6",
    "acid": "M0 4H8",
    "base": "M4 0V8",
    "oxidiser": "M0 0L8 8M0 8L8 0",
    "toxic": "M1.2 1.2h1.6v1.6h-1.6zM5.2 5.2h1.6v1.6h-1.6z",
}
"""of a tile of 8 by 8; "other" stays plain. Own choice: told apart by direction, with the word beside"""
WIDTH = 696.0
EDGE = 6.0
LEAST_LABEL = 10.0
"""of the drawing's units: above 6.5 pt on the plan; wider than the narrowest vials, and then still readable"""


def _place(shelf: ShelfRecord, words: Words) -> str:
    return f"{words['compartment']} {clean(shelf['compartment'])}, {words['shelf'].lower()} {clean(shelf['shelf'])}"


def _patterns(drawing: Drawing) -> None:
    tiles = "".join(
        f'<pattern id="{drawing.key}-{kind}" width="8" height="8" patternUnits="userSpaceOnUse">'
        f'<rect width="8" height="8" fill="#fff"/><path d="{path}" stroke="#777" stroke-width="1" '
        f'fill="{"#777" if kind == "toxic" else "none"}"/></pattern>'
        for kind, path in HATCH.items()
    )
    drawing.add("defs", tiles)


def _fill(drawing: Drawing, kind: str) -> str:
    return f"url(#{drawing.key}-{kind})" if kind in HATCH else "#fff"


def _kind(item: PlacedRecord) -> str:
    return item["kind"] if item["kind"] in KINDS else "other"


def _plan_height(shelf: ShelfRecord, scale: float) -> float:
    return shelf["depth_m"] * scale + 34.0


def _plan(
    drawing: Drawing, shelf: ShelfRecord, *, left: float, top: float, scale: float, words: Words
) -> None:
    """One shelf from above: the front edge is at the bottom, as for someone who stands before it."""
    width, depth = shelf["width_m"] * scale, shelf["depth_m"] * scale
    drawing.add(
        "rect", x=left, y=top, width=width, height=depth, fill="#fff", stroke="#000", stroke_width=1.6
    )
    for number in range(shelf["trays"]):
        wide = width / shelf["trays"]
        drawing.add(
            "rect", x=left + wide * number + 2.5, y=top + 2.5, width=wide - 5, height=depth - 5, rx=5,
            fill="none", stroke="#000", stroke_width=0.9, stroke_dasharray="6 3",
        )  # fmt: skip
    if not shelf["placed"]:
        middle = {"text_anchor": "middle", "fill": "#333"}
        drawing.text(left + width / 2, top + depth / 2, words["empty shelf"], size=13, **middle)
    for item in shelf["placed"]:
        _container(drawing, item, left + item["x_m"] * scale, top + depth - item["y_m"] * scale, scale, words)
    for number in range(shelf["trays"]):
        x = left + width / shelf["trays"] * number + 8
        drawing.halo(x, top + depth - 7, f"{words['tray']} {number + 1}", size=11, fill="#333")
    drawing.line(left, top + depth + 3, left + width, top + depth + 3, stroke_width=3.2)
    drawing.text(left + width / 2, top + depth + 18, f"▲ {words['front']} ▲", size=11.5, text_anchor="middle")
    drawing.line(left, top + depth + 14, left + 0.1 * scale, top + depth + 14, stroke_width=2)
    drawing.text(left + 0.1 * scale + 5, top + depth + 18, "10\u00a0cm", size=11)


def _container(drawing: Drawing, item: PlacedRecord, x: float, y: float, scale: float, words: Words) -> None:
    radius = max(item["diameter_m"] * scale / 2, 1.5)
    kind = _kind(item)
    drawing.add("circle", cx=x, cy=y, r=radius, fill=_fill(drawing, kind), stroke="#000", stroke_width=1.1)
    label = clean(item["label"])
    size = min(17.0, max(LEAST_LABEL, 0.75 * radius / math.hypot(0.25 * len(label), 0.33)))
    word = words[kind]
    roomy = radius > max(2.7 * len(word) + 3, 22.0)
    drop = 4.0 if roomy else 0.0
    drawing.add(
        "rect", x=x - 0.27 * size * len(label) - 1, y=y - drop - 0.4 * size, width=0.54 * size * len(label) + 2,
        height=0.8 * size, fill="#fff", rx=2,
    )  # fmt: skip
    drawing.text(x, y - drop + 0.35 * size, label, size=size, font_weight="700", text_anchor="middle")
    if roomy:
        wide = 4.6 * len(word) + 5
        drawing.add("rect", x=x - wide / 2, y=y + 6, width=wide, height=11, fill="#fff", rx=2)
        drawing.text(x, y + 14.5, word, size=9.5, text_anchor="middle")


def shelf_svg(record: Record, index: int, *, key: str = "shelf", language: str = "en") -> str:
    """One shelf of the plan from above, to scale (SVG); `index` counts `record["placement"]["shelves"]`."""
    words = words_of(language)
    shelf = record["placement"]["shelves"][index]
    scale = (WIDTH - 2 * EDGE) / max(shelf["width_m"], 0.05)
    height = _plan_height(shelf, scale) + EDGE
    title = words["chart shelf title"].format(place=_place(shelf, words))
    drawing = Drawing(WIDTH, height, title, _told([shelf], words), f"{key}-{index}")
    _patterns(drawing)
    _plan(drawing, shelf, left=EDGE, top=EDGE, scale=scale, words=words)
    return str(drawing)


def shelves_svg(record: Record, *, key: str = "shelves", language: str = "en") -> str:
    """All shelves from above in one drawing to one scale (SVG), the lowest last, as they stand."""
    words = words_of(language)
    shelves = sorted(record["placement"]["shelves"], key=lambda shelf: -shelf["height_m"])
    scale = (WIDTH - 2 * EDGE) / max([shelf["width_m"] for shelf in shelves] or [1.0])
    height = sum(_plan_height(shelf, scale) + 30 for shelf in shelves) + 2 * EDGE
    drawing = Drawing(WIDTH, max(height, 40), words["chart shelves title"], _told(shelves, words), key)
    _patterns(drawing)
    top = EDGE
    for shelf in shelves:
        drawing.text(EDGE, top + 16, _place(shelf, words), size=14, font_weight="700")
        _plan(drawing, shelf, left=EDGE, top=top + 24, scale=scale, words=words)
        top += _plan_height(shelf, scale) + 30
    return str(drawing)


def _told(shelves: Sequence[ShelfRecord], words: Words) -> str:
    """The drawing in words."""
    return " ".join(
        f"{_place(shelf, words)}: "
        + (
            ", ".join(f"{clean(item['label'])} {words[_kind(item)]}" for item in shelf["placed"])
            or words["empty shelf"]
        )
        + "."
        for shelf in shelves
    )


def _columns(shelves: Sequence[ShelfRecord]) -> dict[str, int]:
    """Compartments that overlap in height stand side by side; those that do not, one above the other."""
    spans: dict[str, tuple[float, float]] = {}
    for shelf in shelves:
        low, high = spans.get(shelf["compartment"], (9e9, 0.0))
        top = shelf["height_m"] + shelf["clear_height_m"]
        spans[shelf["compartment"]] = (min(low, shelf["height_m"]), max(high, top))
    columns: dict[str, int] = {}
    for name, (low, high) in spans.items():
        taken = {
            columns[other]
            for other, (a, b) in spans.items()
            if other in columns and a < high - 1e-6 and low < b - 1e-6
        }
        columns[name] = next(column for column in range(len(spans)) if column not in taken)
    return columns


def front_svg(record: Record, *, key: str = "front", language: str = "en", height: float = 420.0) -> str:
    """The cabinet from the front, to scale (SVG): which shelf is where. Containers behind others are hidden."""
    words = words_of(language)
    shelves = record["placement"]["shelves"]
    columns = _columns(shelves)
    wide = max([shelf["width_m"] for shelf in shelves] or [1.0]) + 0.06
    top = max([shelf["height_m"] + shelf["clear_height_m"] for shelf in shelves] or [1.0])
    across = wide * (max(columns.values(), default=0) + 1)
    scale = min((height - 30) / top, (WIDTH - 70) / across)
    drawing = Drawing(
        across * scale + 70, top * scale + 22, words["chart front title"], _told(shelves, words), key
    )
    _patterns(drawing)
    floor = top * scale + 10
    for shelf in sorted(shelves, key=lambda item: item["height_m"]):
        left = 4 + (columns[shelf["compartment"]] * wide + 0.03) * scale
        _front_shelf(drawing, shelf, left, floor, scale)
    drawing.line(0, floor, across * scale + 8, floor, stroke_width=2.4)
    right = across * scale + 10
    for shelf in shelves:
        if columns[shelf["compartment"]] == max(columns.values()):
            y = floor - shelf["height_m"] * scale
            drawing.text(right, y + 4, f"{100 * shelf['height_m']:.0f}\u00a0cm", size=11)
    return str(drawing)


def _front_shelf(drawing: Drawing, shelf: ShelfRecord, left: float, floor: float, scale: float) -> None:
    base = floor - shelf["height_m"] * scale
    clear, width = shelf["clear_height_m"] * scale, shelf["width_m"] * scale
    drawing.add(
        "rect", x=left, y=base - clear, width=width, height=clear, fill="#fff", stroke="#000", stroke_width=1
    )
    nearest_last = sorted(shelf["placed"], key=lambda item: -item["y_m"])
    for item in nearest_last:
        w, h = item["diameter_m"] * scale, item["height_m"] * scale
        x = left + item["x_m"] * scale - w / 2
        neck = f"M{figure(x)} {figure(base)}V{figure(base - 0.75 * h)}L{figure(x + 0.3 * w)} {figure(base - 0.85 * h)}"
        neck += f"V{figure(base - h)}H{figure(x + 0.7 * w)}V{figure(base - 0.85 * h)}"
        neck += f"L{figure(x + w)} {figure(base - 0.75 * h)}V{figure(base)}Z"
        drawing.add("path", d=neck, fill=_fill(drawing, _kind(item)), stroke="#000", stroke_width=0.8)
    drawing.line(left, base, left + width, base, stroke_width=3)
    name = f"{clean(shelf['compartment'])}\u2009/\u2009{clean(shelf['shelf'])}"
    drawing.add(
        "rect", x=left + 3, y=base - clear + 3, width=8.5 * len(name) + 6, height=19, fill="#000", rx=3
    )
    drawing.text(left + 6 + 4.25 * len(name), base - clear + 17.5, name, size=14, font_weight="700", fill="#fff",
                 text_anchor="middle")  # fmt: skip


def legend_svg(kind: str, *, key: str = "legend", language: str = "en") -> str:
    """A swatch of one kind's pattern (SVG)."""
    word = words_of(language)[kind]
    drawing = Drawing(30, 18, word, word, f"{key}-{kind}")
    _patterns(drawing)
    drawing.add(
        "rect", x=1, y=1, width=28, height=16, fill=_fill(drawing, kind), stroke="#000", stroke_width=1.1
    )
    return str(drawing)
