"""Headers as people write them."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence

from stillroom.errors import InputError, Problem

__all__ = ["COLUMNS", "columns_of", "plain"]

_WORDS = {
    "name": "name|chemical|chemical name|substance|product|product name|material name|compound|description|contents|item"
    "|bezeichnung|stoff|chemikalie|produkt|nom|produit|nom du produit|nombre|producto|sustancia|chemical/product",
    "cas": "cas|cas no|cas number|cas nr|cas nummer|casrn|cas rn|no cas|numero cas|n cas|cas registry number|cas #|cas-nr",
    "amount": "amount|size|container size|pack size|bottle size|volume|quantity per container|capacity|contents size"
    "|net|menge|inhalt|gebindegrosse|volumen|taille|quantite|contenance|cantidad|volumen envase|tamano|pack",
    "unit": "unit|units|uom|einheit|unite|unidad|unit of measure",
    "count": "count|qty|quantity|number|no of containers|number of containers|number of bottles|bottles|containers|pcs|pieces"
    "|anzahl|stuck|nombre de flacons|unidades|stock|no of bottles|how many|# bottles|numero de envases",
    "state": "state|phase|physical state|form|aggregatzustand|etat|estado|physical form",
    "concentration": "concentration|strength|conc|purity|assay|konzentration|gehalt|concentracion|grade/strength|% w/w",
    "container": "container|container type|packaging|bottle type|container material|behalter|gebinde|flacon|envase|recipient",
    "closure": "closure|cap|lid|cap type|verschluss|bouchon|cierre|stopper",
    "opened_per_week": "opened per week|openings per week|opened/week|opened|use per week|uses per week|frequency|times opened per week",
    "note": "note|notes|remark|remarks|comment|comments|bemerkung|remarque|observaciones|notas|location|hazard",
}
COLUMNS = tuple(_WORDS)


def plain(text: str) -> str:
    """A header without case, accents, brackets, units in brackets and stops."""
    text = unicodedata.normalize("NFKD", text.replace("ß", "ss"))
    text = "".join(letter for letter in text if not unicodedata.combining(letter))
    text = re.sub(r"\(.*?\)|\[.*?\]", " ", text.lower().replace("_", " ").replace("°", ""))
    return re.sub(r"\s+", " ", re.sub(r"[.:*]", "", text)).strip(" -#" if text.strip(" #") else "")


_KNOWN = {plain(word): column for column, words in _WORDS.items() for word in words.split("|")}


def columns_of(header: Sequence[str], *, file_name: str, row: int) -> tuple[dict[int, str], list[str]] | None:
    """Position to column of ours, and the headers that no column took; None where the row is no header.

    Raises
    ------
    InputError
        Two headers mean the same column.
    """
    found: dict[int, str] = {}
    left = []
    for place, text in enumerate(header):
        column = _KNOWN.get(plain(text))
        if column:
            found[place] = column
        elif text.strip():
            left.append(text.strip())
    if not {"name", "cas"} & set(found.values()):
        return None
    problems = []
    for column in COLUMNS:
        twice = [header[place].strip() for place, name in found.items() if name == column]
        if len(twice) > 1:
            both = " and ".join(f"“{text}”" for text in twice)
            problems.append(
                Problem(
                    f"{both} both mean {column}", "Rename or remove one of them.", file=file_name, row=row
                )
            )
    if problems:
        raise InputError(problems)
    return found, left
