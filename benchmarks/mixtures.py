"""``python -m benchmarks.mixtures``: mixtures on tables beside pyiast and pygaps in the same run, and against the number of vapours.

One point is the same three dual-site Langmuir vapours for all; tables are made before, as the peers' isotherms are. Of Stillroom one call
from Python is measured, most of which is the way into compiled code, and a point inside a compiled loop, where mixtures are computed.
Exit status 1 where pyiast takes less than 150 times as long as the latter, or an answer differs by 1e-6.
"""

from __future__ import annotations

import math
import statistics
import sys
import time
import warnings
from collections.abc import Callable

import numpy as np
import pyiast
from numba import njit

from stillroom.media import tables
from stillroom.media.ideal_solution import loadings, loadings_at, pressures, pressures_at, slopes_at

_LAWS = ((2.0, 0.02, 1.0, 3.0), (1.5, 0.5, 2.0, 0.01), (0.8, 20.0, 3.0, 0.2))  # limit, b, limit, b
_PRESSURES = np.array([10.0, 1.0, 0.05])
_LEAST = 150.0


def _seconds(work: Callable[[], object], times: int, runs: int = 7) -> float:
    """Median over runs of the mean of so many warm calls [s]."""
    work()
    means = []
    for _ in range(runs):
        start = time.perf_counter()
        for _ in range(times):
            work()
        means.append((time.perf_counter() - start) / times)
    return statistics.median(means)


def _pyiast() -> Callable[[], np.ndarray]:
    laws = []
    for parameters in _LAWS:
        law = pyiast.ModelIsotherm.__new__(pyiast.ModelIsotherm)  # its constructor would fit data
        law.model, law.params = "DSLangmuir", dict(zip(("M1", "K1", "M2", "K2"), parameters, strict=True))
        laws.append(law)
    return lambda: pyiast.iast(_PRESSURES, laws, warningoff=True)


def _pygaps() -> Callable[[], np.ndarray]:
    import logging

    import pygaps

    logging.getLogger("pygaps").setLevel(logging.ERROR)  # it would name every unit that it assumes
    from pygaps.modelling import get_isotherm_model
    from pygaps.prediction.iast import iast_point

    laws = []
    for parameters in _LAWS:
        model = get_isotherm_model("DSLangmuir")
        model.params = dict(zip(("n_m1", "K1", "n_m2", "K2"), parameters, strict=True))
        laws.append(
            pygaps.ModelIsotherm(
                model=model, branch="ads", material="carbon", adsorbate="nitrogen", temperature=295.0
            )
        )
    return lambda: iast_point(laws, _PRESSURES, warningoff=True)


@njit
def _again(times, given, grid, values, guess, out):  # type: ignore[no-untyped-def]
    """One point many times from compiled code, the kernel's own cost: to loadings, to pressures."""
    s = 0.0
    for _ in range(times):
        s += loadings_at(given, grid, values, guess, out)
    return s


@njit
def _march(given, grid, values, out):  # type: ignore[no-untyped-def]
    """Pressures cell after cell, each from its neighbour's s, as in a bed."""
    s = math.nan
    for cell in range(given.shape[0]):
        s = pressures_at(given[cell], grid, values, s, out[cell])
    return s


@njit
def _march_with_slopes(given, grid, values, out, work):  # type: ignore[no-untyped-def]
    s = math.nan
    for cell in range(given.shape[0]):
        s = slopes_at(given[cell], grid, values, s, out[cell], work[0], work[1], work[2])
    return s


def _carbon(vapours: int, draws: int) -> tables.Tables:
    """Invented Dubinin–Radushkevich vapours."""
    rng = np.random.default_rng(vapours)
    shape = (vapours, draws)
    return tables.dubinin_astakhov(
        saturation_pressure=np.exp(rng.normal(7.0, 2.0, shape)),
        energy=rng.uniform(8e3, 2.8e4, shape),
        limit=rng.uniform(2.0, 8.0, shape),
        temperature=295.15,
    )


def _against_peers() -> bool:
    """By turns, so that a busy moment strikes all alike."""
    made = tables.stack(*(tables.langmuir(limit=law[0::2], affinity=law[1::2], nodes=512) for law in _LAWS))
    held, grid, values = np.empty(3), made.grid[:, 0], made.values[:, 0]
    ours = {
        "one call from Python": (lambda: loadings(_PRESSURES, made), 2000, 1),
        "one point inside a compiled loop": (
            lambda: _again(1000, _PRESSURES, grid, values, math.nan, held),
            5,
            1000,
        ),
    }
    peers = {"pyiast": _pyiast(), "pygaps": _pygaps()}
    answer = loadings(_PRESSURES, made)
    holds = True
    seconds: dict[str, list[float]] = {name: [] for name in (*ours, *peers)}
    for _ in range(9):
        for name, (work, times, points) in ours.items():
            seconds[name].append(_seconds(work, times, 1) / points)
        for name, peer in peers.items():
            seconds[name].append(_seconds(peer, 20, 1))
    for name, peer in peers.items():
        apart = float(np.max(np.abs(peer() / answer - 1.0)))
        holds = holds and apart < 1e-6
        print(
            f"three vapours, {name}: {statistics.median(seconds[name]) * 1e6:.0f} µs a point; answers {apart:.0e} apart"
        )
        for own in ours:
            ratio = statistics.median(b / a for a, b in zip(seconds[own], seconds[name], strict=True))
            print(
                f"    {own}: {statistics.median(seconds[own]) * 1e6:.2f} µs, {ratio:.0f} times as fast as {name}"
            )
            holds = holds and (name != "pyiast" or ratio >= _LEAST or "Python" in own)
    return holds


def _against_vapours() -> None:
    print(
        "vapours   tables of 1000 draws      µs a point: loadings   pressures   along a bed: pressures   with slopes"
    )
    for vapours in (1, 2, 3, 5, 10, 20, 40):
        start = time.perf_counter()
        made = _carbon(vapours, 1000)
        build = time.perf_counter() - start
        rng = np.random.default_rng(1)
        p = np.exp(rng.normal(-4.0, 3.0, (vapours, 1000)))
        q = loadings(p, made)
        there, back = (
            _seconds(lambda f=f, x=x, m=made: f(x, m), 3) for f, x in ((loadings, p), (pressures, q))
        )
        one = tables.Tables(*(np.ascontiguousarray(part[:, :1]) for part in (made.grid, made.values)))
        front = np.exp(-np.linspace(0.0, 12.0, 1000))[None, None] * p[:, :1, None]  # a front through a bed
        cells = np.ascontiguousarray(loadings(front, one)[:, 0].T)
        out, work = np.empty_like(cells), np.empty((3, vapours))
        grid, values = one.grid[:, 0], one.values[:, 0]
        march = _seconds(lambda c=cells, g=grid, v=values, o=out: _march(c, g, v, o), 5)
        slopes = _seconds(
            lambda c=cells, g=grid, v=values, o=out, w=work: _march_with_slopes(c, g, v, o, w), 5
        )
        print(
            f"{vapours:7d}{build:11.2f} s{made.values.nbytes / 1e6:8.1f} MB"
            f"{there * 1e3:27.2f}{back * 1e3:12.2f}{march * 1e3:24.2f}{slopes * 1e3:14.2f}"
        )


def main() -> int:
    """Peers first, then the cost of more vapours."""
    warnings.simplefilter("ignore")  # of the peers' imports and of logarithms that their solvers try
    holds = _against_peers()
    _against_vapours()
    return 0 if holds else 1


if __name__ == "__main__":
    sys.exit(main())
