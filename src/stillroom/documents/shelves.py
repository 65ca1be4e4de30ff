"""The shelf plan: carried to the cabinet, one shelf at a time, with the drawing and the list side by side."""

from __future__ import annotations

from typing import Any

from stillroom.assessment.record import ContainerRecord, PlacedRecord, Record, ShelfRecord
from stillroom.documents.anchor import anchor, signed_by
from stillroom.documents.charts import front_svg, legend_svg, shelf_svg
from stillroom.documents.charts.shelves import KINDS
from stillroom.documents.charts.svg import described
from stillroom.documents.figures import plain, spans
from stillroom.documents.notes import REFUSED
from stillroom.documents.press import press
from stillroom.documents.text import printable, shorten
from stillroom.documents.words import Words, words_of

__all__ = ["shelves_pdf"]


def shelves_pdf(record: Record, *, language: str = "en") -> bytes:
    """The shelf plan as PDF (A4 across; PDF/A-2a and PDF/UA-1).

    First what is not solved and what has no place, with the cabinet from the front and where to find what; then each
    shelf from above, to scale, with the list of its containers, tray by tray.

    Parameters
    ----------
    record : Record
        a parsed ``record.json``
    language : str
        of the words
    """
    words = words_of(language)
    view = printable(_view(record, words))
    view["words"] = dict(words)
    view["front"] = front_svg(record, language=language)
    view["front_alt"] = described(view["front"])
    order = _order(record)
    for shelf, index in zip(view["shelves"], order, strict=True):
        shelf["svg"] = shelf_svg(record, index, language=language)
        shelf["alt"] = described(shelf["svg"])
    view["legend"] = [[words[kind], legend_svg(kind, language=language)] for kind in KINDS]
    return press("shelves.typ", view, date=record["date"])


def _order(record: Record) -> list[int]:
    """Shelves from the bottom up: heavy things are carried first."""
    shelves = record["placement"]["shelves"]
    return sorted(
        range(len(shelves)), key=lambda index: (shelves[index]["compartment"], shelves[index]["height_m"])
    )


def _view(record: Record, words: Words) -> dict[str, Any]:
    rows = {item["key"]: item for item in record["containers"]}
    shelves = record["placement"]["shelves"]
    leaving = {item["name"] for item in record["substances"] if item["verdict"] in REFUSED}
    opposed = [item for item in record["conflicts"] if not item["solved"]]
    gone = sum(bool(leaving & set(item["names"])) for item in opposed)
    return {
        "date": [int(part) for part in record["date"].split("-")],
        "number": record["number"],
        "anchor": anchor(record["signature"], words),
        "title": record["title"],
        "invented": record["invented"],
        "forbidden": {"not approved": words["plan refused"], "cannot tell": words["plan unsure"]}.get(record["verdict"], ""),
        "signed": signed_by(record["signature"], words),
        "unsolved": [
            [" + ".join(_with_row(name, item["containers"], rows, at) for at, name in enumerate(item["names"])),
             f"{item['consequence'].rstrip('.')}. {item['mend']}"]
            for item in opposed
            if not leaving & set(item["names"])
        ],
        "clear": words[
            "plan clear rest"
            if any(item["verdict"] in REFUSED for item in record["containers"])
            else "plan clear"
        ],
        "leaving": words["plan leaving"].format(n=gone) if gone else "",
        "not_placed": [_unplaced(key, rows) for key in record["placement"]["not_placed"]],
        "notes": record["placement"]["words"],
        "index": _index(record, rows),
        "shelves": [_shelf(shelves[index], rows, words) for index in _order(record)],
    }  # fmt: skip


def _with_row(name: str, keys: list[str], rows: dict[str, ContainerRecord], at: int) -> str:
    row = rows.get(keys[at]) if at < len(keys) else None
    return f"{name} (row {row['row']})" if row else name


def _unplaced(key: str, rows: dict[str, ContainerRecord]) -> str:
    item = rows.get(key)
    return f"row {item['row']}: {item['name']}, {item['count']} × {item['amount']}" if item else key


def _shelf(shelf: ShelfRecord, rows: dict[str, ContainerRecord], words: Words) -> dict[str, Any]:
    trays, litres = shelf["trays"], shelf["tray_litres"]
    if trays == 0:
        tray = words["no tray"]
    elif litres is None:
        tray = words["trays unknown"].format(n=trays)
    else:
        tray = words["tray of one" if trays == 1 else "tray of"].format(n=trays, litres=plain(litres))
    facts = [
        words["above floor"].format(cm=f"{100 * shelf['height_m']:.0f}"),
        tray,
        words["load"].format(kg=f"{shelf['load_kg']:.1f}"),
    ]
    return {
        "name": f"{words['compartment']} {shelf['compartment']}, {words['shelf'].lower()} {shelf['shelf']}",
        "facts": " · ".join(facts),
        "trays": _listing(shelf, rows, words) if shelf["placed"] else [],
    }


def _listing(shelf: ShelfRecord, rows: dict[str, ContainerRecord], words: Words) -> list[dict[str, Any]]:
    """The trays of a shelf from left to right, each with what stands in it; one list where there is no choice of trays."""
    trays: dict[int, list[PlacedRecord]] = {}
    for item in shelf["placed"]:
        trays.setdefault(_tray(item, shelf), []).append(item)
    several = shelf["trays"] > 1
    return [
        {
            "tray": f"{words['tray']} {number}" if several else "",
            "rows": _rows(trays.get(number, []), rows, words),
        }
        for number in range(1, max(shelf["trays"], 1) + 1)
    ]


def _tray(item: PlacedRecord, shelf: ShelfRecord) -> int:
    """Trays are equally wide and counted from the left; 1 where there are none."""
    count = max(shelf["trays"], 1)
    return min(max(int(item["x_m"] / max(shelf["width_m"], 1e-9) * count), 0), count - 1) + 1


def _rows(placed: list[PlacedRecord], rows: dict[str, ContainerRecord], words: Words) -> list[list[str]]:
    """Labels of equal containers together: "1, 2, 4" · name and amount · kind."""
    groups: dict[tuple[str, str], list[str]] = {}
    for item in placed:
        groups.setdefault((item["container"], item["kind"]), []).append(item["label"])
    listed = []
    for (key, kind), labels in groups.items():
        row = rows.get(key)
        count = f"{len(labels)} × " if len(labels) > 1 else ""
        what = f"{shorten(row['name'], 70)}, {count}{row['amount']}" if row else f"{count}{key}"
        listed.append((labels, [_span(labels), what, words[kind if kind in KINDS else "other"]]))
    return [row for _, row in sorted(listed, key=lambda item: _rank(item[0][0]))]


def _index(record: Record, rows: dict[str, ContainerRecord]) -> list[list[str]]:
    """Name, numbers and places (“A / 1”) of everything that stands somewhere, by name."""
    found: dict[str, tuple[list[str], list[str]]] = {}
    for shelf in record["placement"]["shelves"]:
        for item in shelf["placed"]:
            row = rows.get(item["container"])
            labels, places = found.setdefault(row["name"] if row else item["container"], ([], []))
            tray = [str(_tray(item, shelf))] if shelf["trays"] > 1 else []
            labels.append(item["label"])
            places.append(" / ".join([shelf["compartment"], shelf["shelf"], *tray]))
    return [
        [shorten(name, 48), _span(labels), ", ".join(dict.fromkeys(places))]
        for name, (labels, places) in sorted(found.items(), key=lambda entry: entry[0].casefold())
    ]


def _rank(label: str) -> tuple[int, str]:
    """Whole numbers in their order, before other labels."""
    return (int(label), "") if label.isdecimal() else (10**9, label)


def _span(labels: list[str]) -> str:
    """Labels in one string, each once; runs of whole numbers as "3–7".

    Examples
    --------
    >>> _span(["1", "2", "3", "7", "9", "10"]), _span(["2", "2"]), _span(["A1", "A2"])
    ('1–3, 7, 9, 10', '2', 'A1, A2')
    """
    if not all(label.isdecimal() for label in labels):
        return ", ".join(dict.fromkeys(labels))
    return spans(int(label) for label in labels)
