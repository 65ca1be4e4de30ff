"""Answer a table of questions about a fitted medium: a row each, alone or in mixtures."""

from __future__ import annotations

import csv
import io
import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stillroom.errors import InputError, Problem
from stillroom.media import load as load_file
from stillroom.media import water
from stillroom.media.fitting.hierarchical import Posterior
from stillroom.media.fitting.points import WATER, states
from stillroom.media.fitting.predict import DRAWS, Curve, curves
from stillroom.media.fitting.rows import CHECKS, Rows, cas_faults, columns_of, read_table
from stillroom.media.humidity import draw_pressure_left, draw_work_share
from stillroom.media.model import Medium
from stillroom.media.tables import Tables, from_loading, stack
from stillroom.units import GAS_CONSTANT
from stillroom.units.files import plain_cell

__all__ = ["Answers", "answer"]

Array = NDArray[np.float64]

_TOGETHER = 5
"""Every so many draws are taken in a mixture: each needs its own table [-]."""
_PANELS = 64
"""Of the quadrature of a table [-]."""
_LOWEST = 40.0
"""ln(p_sat/p) below which every law is Henry's [-]."""


_Key = tuple[str, float, bytes]
"""CAS number, temperature, what water takes of it."""


@dataclass(frozen=True, slots=True)
class Answers:
    """The answered table and what could not be answered."""

    text: str
    """CSV: the columns asked, then ``loading_g_per_g, p05, p95``; empty cells where there is no answer"""
    remarks: tuple[str, ...]
    """one for each row without an answer"""


@dataclass(frozen=True, slots=True)
class _Question:
    cas: str
    temperature: float
    pressure: float
    humidity: float
    mixture: str
    row: int


def answer(
    posteriors: tuple[Posterior, ...],
    text: str,
    *,
    file: str = "queries",
    seed: int = 1,
    draws: int = DRAWS,
    medium: Medium | None = None,
) -> Answers:
    """Loadings at the states of a table, each with 5 and 95 %.

    Parameters
    ----------
    posteriors : tuple of Posterior
        Of a fitted medium.
    text : str
        CSV with ``mixture, cas, temperature_K, partial_pressure_Pa`` and, where wanted, ``relative_humidity``
        (a fraction). Rows with the same mixture, not empty, are adsorbed together.
    file : str
        Named in messages.
    seed, draws : int
        Same seed, same answer [-].
    medium : Medium, optional
        Whose water isotherm counts; else the generic one's.

    Raises
    ------
    InputError
        With every fault: row, column, what was found, and the mend.

    Notes
    -----
    Mixtures by ideal adsorbed solution theory, draw by draw. Water is no vapour of the fit: a row of it has no answer,
    and what it takes from each vapour goes by the relative humidity, stated or the water's own.
    """
    rows = read_table(text, file=file, needed=("cas", "temperature_K", "partial_pressure_Pa"))
    asked = _questions(rows, file=file)
    held: list[Array | str] = [""] * len(asked)
    vapours = tuple(dict.fromkeys(one.cas for one in asked if one.cas != WATER))
    drawn = curves(posteriors, vapours, seed=seed, draws=draws)
    made: dict[_Key, Tables] = {}
    for group in _groups(asked):
        answers = _held([asked[at] for at in group], drawn, seed, draws, made, medium)
        for at, found in zip(group, answers, strict=True):
            held[at] = found
    return _table(rows, asked, held)


def _questions(rows: Rows, *, file: str) -> list[_Question]:
    faults = cas_faults(rows, file=file)
    checks = {name: CHECKS[name] for name in ("temperature_K", "partial_pressure_Pa")}
    numbers = columns_of(rows, checks, file=file, faults=faults)
    humid = [(number, row) for number, row in rows if row.get("relative_humidity")]
    check = {"relative_humidity": lambda value: "" if 0.0 <= value <= 1.0 else "outside 0 to 1"}
    stated = dict(
        zip(
            (number for number, _ in humid),
            columns_of(humid, check, file=file, faults=faults)["relative_humidity"],
            strict=True,
        )
    )
    asked = [
        _Question(
            row["cas"],
            float(numbers["temperature_K"][at]),
            float(numbers["partial_pressure_Pa"][at]),
            float(stated.get(number, 0.0)),
            row.get("mixture", ""),
            number,
        )
        for at, (number, row) in enumerate(rows)
    ]
    first: dict[str, _Question] = {}
    seen: set[tuple[str, str]] = set()
    for one in asked:
        if not one.mixture:
            continue
        begun = first.setdefault(one.mixture, one)
        if one.temperature != begun.temperature:
            mend = "Give one mixture one temperature."
            faults.append(Problem("a mixture has one temperature", mend, file=file, row=one.row, column="temperature_K", found=f"{one.temperature:g}"))  # fmt: skip
        if (one.mixture, one.cas) in seen:
            mend = "Give each vapour of a mixture once."
            faults.append(Problem("this vapour is in the mixture already", mend, file=file, row=one.row, column="cas", found=one.cas))  # fmt: skip
        seen.add((one.mixture, one.cas))
    if faults:
        raise InputError(faults)
    return asked


def _groups(asked: Sequence[_Question]) -> list[list[int]]:
    """Places of what is adsorbed together."""
    found: dict[str, list[int]] = {}
    for at, one in enumerate(asked):
        found.setdefault(one.mixture or f"\0{at}", []).append(at)
    return list(found.values())


def _held(
    group: Sequence[_Question],
    drawn: Mapping[str, Curve],
    seed: int,
    draws: int,
    made: dict[_Key, Tables],
    medium: Medium | None,
) -> list[Array | str]:
    """Loadings [g/g] of each of a group, shape (draws,), or why there is none."""
    told = {one.cas: states(one.cas, one.temperature) for one in group}
    vapours = [one for one in group if one.cas != WATER]
    unknown = {cas: why for cas, why in told.items() if isinstance(why, str) and cas != WATER}
    if unknown:
        words = "; ".join(f"{cas}: {why}" for cas, why in unknown.items())
        return [words] * len(group)
    humidity = max(one.humidity for one in group)
    for one in group:
        state = told[one.cas]
        if one.cas == WATER and not isinstance(state, str):
            humidity = max(humidity, min(one.pressure / state[0], 1.0))
    moist = {one.cas: _Moist(np.zeros(draws), np.ones(draws)) for one in vapours}
    if humidity > 0.0:
        moist = _moist(vapours, humidity, medium or load_file("generic"), seed, draws)
    found: dict[str, Array] = {}
    if len(vapours) == 1:
        found[vapours[0].cas] = _alone(vapours[0], drawn[vapours[0].cas], moist[vapours[0].cas])
    elif vapours:
        found = _together(vapours, drawn, moist, made)
    return [found.get(one.cas, "water is no vapour of the fit") for one in group]


@dataclass(frozen=True, slots=True)
class _Moist:
    """What water takes from one vapour, draw by draw."""

    lower: Array
    """ln(p/p′), p′ the pressure at which dry carbon would hold as much [-]"""
    free: Array
    """share of the pores that water on oxygen groups leaves [-]"""

    def thinned(self, every: int) -> _Moist:
        return _Moist(self.lower[::every], self.free[::every])


def _moist(
    vapours: Sequence[_Question], humidity: float, medium: Medium, seed: int, draws: int
) -> dict[str, _Moist]:
    drawn = water.draw(medium, np.random.default_rng([seed, 1]), draws)
    free = 1.0 - drawn.on_sites(humidity)
    found = {}
    for one in vapours:
        _, density, molar_mass, _ = _state(one)
        own = np.random.default_rng([seed, 1, zlib.crc32(one.cas.encode())])
        left = draw_pressure_left(
            humidity,
            drawn,
            molar_volume=molar_mass / density,
            work_share=draw_work_share(one.cas, own, draws),
        )
        found[one.cas] = _Moist(-np.log(left), free)
    return found


def _alone(one: _Question, curve: Curve, moist: _Moist) -> Array:
    saturation, density, _, affinity = _state(one)
    thermal = GAS_CONSTANT * one.temperature / 1e3
    potential = np.maximum(thermal * (np.log(saturation / one.pressure) + moist.lower), 0.0)
    return np.asarray(np.exp(curve.log_held(potential, affinity, thermal)) * density * moist.free)


def _together(
    vapours: Sequence[_Question],
    drawn: Mapping[str, Curve],
    moist: Mapping[str, _Moist],
    made: dict[_Key, Tables],
) -> dict[str, Array]:
    from stillroom.media.ideal_solution import loadings

    keys = []
    for one in vapours:
        own = moist[one.cas].thinned(_TOGETHER)
        key = (one.cas, one.temperature, own.lower.tobytes() + own.free.tobytes())
        if key not in made:
            made[key] = _table_of(one, drawn[one.cas].thinned(_TOGETHER), own)
        keys.append(key)
    found = loadings(np.array([one.pressure for one in vapours]), stack(*(made[key] for key in keys)))
    return {one.cas: found[at] * _state(one)[2] * 1e-3 for at, one in enumerate(vapours)}


def _table_of(one: _Question, curve: Curve, moist: _Moist) -> Tables:
    """A vapour's law in mol/kg, draw by draw; the pressure of full pores is the higher for the water in them."""
    saturation, density, molar_mass, affinity = _state(one)
    thermal = GAS_CONSTANT * one.temperature / 1e3
    top = np.log(saturation) + moist.lower

    def held(log_pressure: Array) -> Array:
        potential = np.maximum(thermal * (top - log_pressure), 0.0)
        volume = np.exp(curve.log_held(potential, affinity, thermal)) * moist.free
        return np.asarray(volume * density / molar_mass * 1e3)

    return from_loading(held, log_low=top - _LOWEST, log_high=top, panels=_PANELS)


def _state(one: _Question) -> tuple[float, float, float, float]:
    state = states(one.cas, one.temperature)
    assert not isinstance(state, str)
    return state


def _table(rows: Rows, asked: Sequence[_Question], held: Sequence[Array | str]) -> Answers:
    names = list(rows[0][1])
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([*map(plain_cell, names), "loading_g_per_g", "p05", "p95"])
    remarks = []
    for (number, row), one, found in zip(rows, asked, held, strict=True):
        cells = [plain_cell(row[name]) for name in names]
        if isinstance(found, str):
            remarks.append(f"row {number}, {one.cas}: {found}")
            writer.writerow([*cells, "", "", ""])
            continue
        p05, p50, p95 = np.quantile(found, [0.05, 0.5, 0.95])
        writer.writerow([*cells, f"{p50:.6g}", f"{p05:.6g}", f"{p95:.6g}"])
    return Answers(out.getvalue(), tuple(remarks))
