"""Which limits apply: the strictest of the chosen lists, or the first chosen list that has any."""

from __future__ import annotations

from collections.abc import Sequence

from stillroom.errors import InputError
from stillroom.substances.limits.compare import molar_mass, own_mass_concentration, own_mass_words
from stillroom.substances.limits.lookup import of, remarks
from stillroom.substances.limits.tables import known
from stillroom.substances.model import Basis, Limit, LimitChoice, Ordering

__all__ = ["choose"]

_BASES: tuple[Basis, ...] = ("TWA", "STEL", "C")
_WORDS = {"TWA": "TWA", "STEL": "short-term limit", "C": "ceiling"}


def choose(cas: str, *, lists: Sequence[str], ordering: Ordering = Ordering.STRICTEST) -> LimitChoice:
    """The limits that apply to a substance among the lists that the user chose, in the user's order.

    Parameters
    ----------
    cas : str
        CAS number.
    lists : sequence of str
        Keys of lists, in the user's order.
    ordering : Ordering
        STRICTEST: for each basis the lowest value of all chosen lists. FIRST: what the first list says that
        has any limit of the substance.

    Returns
    -------
    LimitChoice
        `criterion` is the TWA, or the ceiling or short-term limit where there is no TWA or where it lies
        below the TWA; None where no chosen list has a limit. `reasons` says which list and edition, and why.

    Raises
    ------
    InputError
        No list was chosen, or a key is not known.
    CannotTell
        Values in ppm and mg/m³ cannot be compared because the molar mass is not known.

    Notes
    -----
    Values are compared in one unit, as mg/m³ of the substance itself where lists print different units or
    count an element (`own_mass_concentration`); what is returned is as printed.

    Examples
    --------
    UK EH40/2005 has 50 ppm for toluene, OSHA Z-2 200 ppm, NIOSH 100 ppm.

    >>> choose("108-88-3", lists=["osha-z2", "niosh-rel", "uk-eh40"]).criterion.value
    50.0
    >>> choose("108-88-3", lists=["niosh-rel", "uk-eh40"], ordering=Ordering.FIRST).criterion.value
    100.0
    """
    keys = tuple(dict.fromkeys(lists))
    if not keys:
        raise InputError("no list of exposure limits was chosen. Choose at least one.")
    found = {key: of(cas, key) for key in keys}
    every = tuple(limit for key in keys for limit in found[key])
    reasons = [words for key in keys for words in remarks(cas, key)]
    if not every:
        titles = ", ".join(known(key).title for key in keys)
        reasons.insert(0, f"No limit for {cas} in the chosen lists: {titles}.")
        return LimitChoice(cas, None, None, None, None, reasons=tuple(reasons))
    pool = every
    if ordering is Ordering.FIRST:
        first = next(key for key in keys if found[key])
        pool = found[first]
        reasons.insert(0, f"{_list_words(pool[0])} is the first chosen list that has a limit.")
    rank = _ranks(cas, pool)
    best = {basis: _lowest(pool, rank, basis) for basis in _BASES}
    criterion, why = _criterion(best, rank)
    reasons = [*why, *([] if ordering is Ordering.FIRST else _strictest_words(pool, criterion)), *reasons]
    reasons += _unit_words(pool, criterion)
    return LimitChoice(cas, best["TWA"], best["STEL"], best["C"], criterion, every, tuple(reasons))


def _ranks(cas: str, pool: Sequence[Limit]) -> dict[int, float]:
    """A number for each limit (by id) that orders them; as printed where all print the same thing."""
    if len({(limit.unit, limit.measured_as) for limit in pool}) == 1:
        return {id(limit): limit.value for limit in pool}
    mass = molar_mass(cas) if any(limit.unit == "ppm" for limit in pool) else None
    return {id(limit): own_mass_concentration(limit, molar_mass_g_mol=mass) for limit in pool}


def _lowest(pool: Sequence[Limit], rank: dict[int, float], basis: Basis) -> Limit | None:
    """The lowest limit of one basis; the first in the user's order among equals."""
    some = [limit for limit in pool if limit.basis == basis]
    return min(some, key=lambda limit: rank[id(limit)], default=None)


def _criterion(best: dict[Basis, Limit | None], rank: dict[int, float]) -> tuple[Limit, list[str]]:
    """TWA unless there is none, or a ceiling or short-term limit is lower."""
    short = [limit for limit in (best["C"], best["STEL"]) if limit is not None]
    lowest = min(short, key=lambda limit: rank[id(limit)], default=None)
    twa = best["TWA"]
    if twa is None:
        assert lowest is not None
        return lowest, [
            f"{_words(lowest)}: no TWA in what was chosen, only a {_WORDS[lowest.basis]}; it is the basis."
        ]
    if lowest is not None and rank[id(lowest)] < rank[id(twa)]:
        return lowest, [
            f"{_words(lowest)}: this {_WORDS[lowest.basis]} lies below every TWA "
            f"(lowest: {_words(twa)}); it is the stricter basis."
        ]
    return twa, [f"{_words(twa)}."]


def _strictest_words(pool: Sequence[Limit], criterion: Limit) -> list[str]:
    others = dict.fromkeys(
        _words(limit) for limit in pool if limit.basis == criterion.basis and limit.list != criterion.list
    )
    return [f"Strictest of the chosen lists; also: {'; '.join(others)}."] if others else []


def _unit_words(pool: Sequence[Limit], criterion: Limit) -> list[str]:
    words = [own_mass_words(criterion)] if criterion.measured_as else []
    if criterion.printed_for:
        words.append(f"{criterion.note.partition('; ')[0]}.")
    if len({limit.unit for limit in pool}) > 1:
        words.append(
            "Values in ppm and mg/m³ were compared as mass of the substance at 25 °C and one atmosphere."
        )
    if len({limit.fraction for limit in pool if limit.fraction}) > 1:
        words.append("Fractions of dust (total, inhalable, respirable …) were compared by their numbers.")
    if criterion.fraction == "fume":
        words.append("The limit is printed for fume; used for dust too it is cautious.")
    return [item for item in words if item]


def _words(limit: Limit) -> str:
    counted = f" as {limit.measured_as}" if limit.measured_as else ""
    unit = "mg/m³" if limit.unit == "mg/m3" else limit.unit
    fraction = f" ({limit.fraction})" if limit.fraction else ""
    return f"{_list_words(limit)} {limit.basis} {limit.value:g} {unit}{counted}{fraction}"


def _list_words(limit: Limit) -> str:
    return f"{known(limit.list).title}, {limit.edition}"
