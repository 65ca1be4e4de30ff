"""Contents that give off something other than themselves."""

from __future__ import annotations

__all__ = ["decomposes", "gas_with_acid"]

_DECOMPOSING = {
    "506-87-6": "ammonium carbonate gives off ammonia",
    "10361-29-2": "ammonium carbonate gives off ammonia",
    "1066-33-7": "ammonium hydrogencarbonate gives off ammonia",
    "1111-78-0": "ammonium carbamate gives off ammonia",
    "12135-76-1": "ammonium sulfide gives off ammonia and hydrogen sulfide",
    "12124-99-1": "ammonium hydrogensulfide gives off ammonia and hydrogen sulfide",
    "12125-01-8": "ammonium fluoride gives off ammonia and hydrogen fluoride",
}
_WITH_ACID = {
    "7681-52-9": "chlorine",
    "7778-54-3": "chlorine",
    "7681-57-4": "sulfur dioxide",
    "7631-90-5": "sulfur dioxide",
    "7757-83-7": "sulfur dioxide",
    "7775-14-6": "sulfur dioxide",
    "1313-82-2": "hydrogen sulfide",
    "16721-80-5": "hydrogen sulfide",
    "143-33-9": "hydrogen cyanide",
    "151-50-8": "hydrogen cyanide",
    "26628-22-8": "hydrazoic acid",
}


def decomposes(cas: str) -> str:
    """Why no rate can be had of a substance that falls apart at room temperature; empty for all others.

    Notes
    -----
    Common practice, no source; the list is not complete.
    """
    return f"{_DECOMPOSING[cas]}, and no sourced rate for that is held" if cas in _DECOMPOSING else ""


def gas_with_acid(cas: str) -> str:
    """The gas that a salt sets free when acid (or damp) reaches it; empty for all others.

    Notes
    -----
    Common practice, no source; the list is not complete. In a closed bottle nothing of it is counted.
    """
    return _WITH_ACID.get(cas, "")
