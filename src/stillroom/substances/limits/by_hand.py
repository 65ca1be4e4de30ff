"""A limit that the user enters: taken as given, unless it looks like a slip of the unit."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Literal, cast

from stillroom.errors import InputError, Problem
from stillroom.substances.identity import check_digit
from stillroom.substances.limits.compare import molar_mass, own_mass_concentration
from stillroom.substances.limits.lookup import of
from stillroom.substances.limits.tables import known, lists
from stillroom.substances.model import Basis, Limit

__all__ = ["NeedsConfirmation", "by_hand"]

_FACTOR = 100.0
_MINUTES: dict[str, float | None] = {"TWA": 480.0, "STEL": 15.0, "C": None}


class NeedsConfirmation(InputError):
    """A limit entered by hand is so far from every known one that the user must confirm it."""


def by_hand(
    *, cas: str, value: float, unit: str, basis: str, source_words: str, confirmed: bool = False
) -> Limit:
    """A limit given by the user.

    Parameters
    ----------
    cas : str
        CAS number.
    value : float
        The limit [ppm] or [mg/m³], as `unit` says.
    unit : str
        "ppm" or "mg/m3".
    basis : str
        "TWA", "STEL" or "C".
    source_words : str
        Where the user has it from; needed, and printed in the record.
    confirmed : bool
        The user has seen the comparison and stands by the value.

    Returns
    -------
    Limit
        Its list is "by-hand"; its note says what it was compared with.

    Raises
    ------
    NeedsConfirmation
        The value is a factor of 100 or more from that of every known list, and `confirmed` is false.
    InputError
        A field is wrong; all wrong fields at once.

    Validity
    --------
    Compared with the same basis of every shipped list; with the others where no list has that basis. Where no
    list knows the substance nothing can be compared, and the note says so.
    """
    _check(cas=cas, value=value, unit=unit, basis=basis, source_words=source_words)
    limit = Limit(
        cas=cas,
        name=cas,
        list="by-hand",
        edition="given by the user",
        basis=cast(Basis, basis),
        value=float(value),
        unit=cast(Literal["ppm", "mg/m3"], unit),
        minutes=_MINUTES[basis],
        source="user",
        locator=source_words.strip(),
    )
    every = tuple(other for item in lists() for other in of(cas, item.key))
    if not every:
        return _with(limit, "no shipped list knows this substance, so nothing could be compared")
    limit = _with(limit, "", name=every[0].name)
    peers = tuple(other for other in every if other.basis == basis) or every
    return _compare(limit, peers, confirmed=confirmed)


def _compare(limit: Limit, peers: Sequence[Limit], *, confirmed: bool) -> Limit:
    mass = molar_mass(limit.cas) if any(peer.unit == "ppm" for peer in (limit, *peers)) else None
    if mass is None and len({peer.unit for peer in (limit, *peers)}) > 1:
        peers = tuple(peer for peer in peers if peer.unit == limit.unit)
        if not peers:
            return _with(limit, "molar mass not known: could not be compared with limits in another unit")
    ratios = [(_ratio(limit, peer, mass), peer) for peer in peers]
    ratio, nearest = min(ratios, key=lambda pair: abs(math.log(pair[0])))
    other = "" if nearest.basis == limit.basis else f" (its {nearest.basis}; no list has a {limit.basis})"
    words = f"nearest known: {_words(nearest)} in {known(nearest.list).title}, {nearest.edition}{other}"
    if max(ratio, 1 / ratio) < _FACTOR * (1 - 1e-9):
        return _with(limit, words)
    far = f"{ratio:.3g} times" if ratio > 1 else f"{1 / ratio:.3g} times less than"
    if confirmed:
        return _with(limit, f"confirmed by the user though {far} the {words}")
    raise NeedsConfirmation(
        Problem(
            f"the {limit.basis} of {limit.name} is {far} the {words}",
            f"{_slip(ratio)} Correct the value or its unit, or confirm it.",
            column="value",
            found=_words(limit),
        )
    )


def _ratio(limit: Limit, peer: Limit, mass: float | None) -> float:
    if limit.unit == peer.unit and not peer.measured_as:
        return limit.value / peer.value
    ours = own_mass_concentration(limit, molar_mass_g_mol=mass)
    return ours / own_mass_concentration(peer, molar_mass_g_mol=mass)


def _slip(ratio: float) -> str:
    """The slip of the unit that a ratio suggests."""
    power = math.log10(ratio)
    if 2 <= power < 3.7:
        return "A value in ppb (or µg/m³) entered as ppm (or mg/m³) would be 1000 times too high."
    if -3.7 < power <= -2:
        return (
            "A value in g/m³ (or parts per thousand) entered as mg/m³ (or ppm) would be 1000 times too low."
        )
    if -4.7 < power <= -3.7:
        return "A value in per cent by volume entered as ppm would be 10 000 times too low."
    return "No usual slip of the unit explains it; the number itself may be mistyped."


def _check(*, cas: str, value: float, unit: str, basis: str, source_words: str) -> None:
    problems: list[Problem] = []
    if not check_digit(cas):
        problems.append(Problem("not a valid CAS number", "Write it like 67-64-1", column="cas", found=cas))
    if not (math.isfinite(value) and value > 0):
        problems.append(
            Problem("not a number above zero", "Write it like 2.5", column="value", found=str(value))
        )
    if unit not in ("ppm", "mg/m3"):
        problems.append(Problem("not a unit of a limit", "Use ppm or mg/m3", column="unit", found=unit))
    if basis not in _MINUTES:
        problems.append(Problem("not a basis of a limit", "Use TWA, STEL or C", column="basis", found=basis))
    if not source_words.strip():
        problems.append(Problem("the source is missing", "Say where the value is from", column="source"))
    if problems:
        raise InputError(problems)


def _words(limit: Limit) -> str:
    unit = "mg/m³" if limit.unit == "mg/m3" else limit.unit
    counted = f" as {limit.measured_as}" if limit.measured_as else ""
    return f"{limit.value:g} {unit}{counted}"


def _with(limit: Limit, note: str, *, name: str = "") -> Limit:
    return replace(limit, note=note, name=name or limit.name)
