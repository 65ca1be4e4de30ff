"""``python -m benchmarks.bed``: the numerical bed beside scipy's BDF in one run, a year of ten vapours, and what it costs by size.

The comparison is one case at 100 cells: three Langmuir vapours, 200 h of load, 200 h of clean air. BDF has the method of lines
with the gas as one matrix product and a tolerance of 1e-4, as the march has; as it comes, with differences for the Jacobian, and
with the exact one written out for it. Exit status 1 where a bound is broken.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from dataclasses import replace

import numpy as np
from scipy.integrate import solve_ivp

from stillroom.bed import Problem, Scheme, simulate, simulate_draws
from stillroom.bed.transport import Langmuir, Packing
from stillroom.media import tables

_RT = 8.31446261815324 * 295.15
_HOURS, _CELLS = 400.0, 100
_LEAST, _YEAR, _DRAWS = 100.0, 1.0, 60.0  # times BDF; s; s on two cores


def _seconds(work: Callable[[], object], runs: int = 5) -> float:
    """Median wall time of warm calls [s]."""
    work()
    means = []
    for _ in range(runs):
        start = time.perf_counter()
        work()
        means.append(time.perf_counter() - start)
    return statistics.median(means)


def _three(scheme: Scheme) -> Problem:
    law = Langmuir(np.array([5.0, 4.0, 4.0]), np.array([0.002, 0.05, 1.0]))
    inlet = np.array([[500.0, 200.0, 100.0], [0.0, 0.0, 0.0]]) * 1e-6 * 101325.0 / _RT
    return Problem(
        vapours=("light", "middle", "heavy"),
        layers=(Packing(0.05, 480.0, (law,), np.array([[60.0, 40.0, 30.0]])),),
        area=0.25,
        times=3600.0 * np.array([0.0, _HOURS / 2, _HOURS]),
        inlet=inlet,
        flow=np.full(2, 0.05),
        temperature=np.full(2, 295.15),
        scheme=scheme,
    )


def _bdf(problem: Problem, times: np.ndarray, cells: int, rtol: float, *, exact: bool) -> np.ndarray:
    """Outlets by the method of lines, the gas by the midpoint rule as one matrix for each vapour."""
    (layer,), count = problem.layers, len(problem.vapours)
    limit, affinity = layer.laws[0].limit, layer.laws[0].affinity
    speed = problem.flow[0] / problem.area
    half = layer.rates[0] * layer.depth / cells / speed / 2.0
    passed = (1.0 - half) / (1.0 + half)
    steps = np.subtract.outer(np.arange(cells + 1), np.arange(cells))
    held = np.array([np.where(steps > 0, (1 - r) * r ** np.maximum(steps - 1, 0), 0.0) for r in passed])
    fresh = passed[:, None] ** np.arange(cells + 1)
    scale = speed * cells / layer.depth / layer.bulk_density
    taken = scale * (held[:, :-1] - held[:, 1:])

    def over(y: np.ndarray) -> np.ndarray:
        share = y.reshape(cells, count) / limit
        return share / affinity / (1.0 - share.sum(axis=1, keepdims=True)) / _RT

    def rise(_t: float, y: np.ndarray, inlet: np.ndarray) -> np.ndarray:
        fed = scale * (fresh[:, :-1] - fresh[:, 1:]) * inlet[:, None]
        return (np.matmul(taken, over(y).T[:, :, None])[..., 0] + fed).T.ravel()

    def jacobian(_t: float, y: np.ndarray, _inlet: np.ndarray) -> np.ndarray:
        share = y.reshape(cells, count) / limit
        free = 1.0 - share.sum(axis=1)
        slopes = np.einsum("j,ik->jik", 1.0 / free, np.diag(1.0 / limit / affinity))
        slopes += np.einsum("ji,k,j->jik", share / affinity, 1.0 / limit, free**-2)
        return np.einsum("ijm,mik->jimk", taken, slopes / _RT).reshape(cells * count, -1)

    found, y = [], np.zeros(cells * count)
    for begin, end, inlet in zip(problem.times, problem.times[1:], problem.inlet, strict=False):
        inside = times[(times > begin) & (times <= end)]
        done = solve_ivp(
            rise,
            (begin, end),
            y,
            method="BDF",
            t_eval=inside,
            rtol=rtol,
            atol=rtol * 1e-2,
            args=(inlet,),
            jac=jacobian if exact else None,
        )
        y = done.y[:, -1]
        found += [
            np.einsum("ij,ji->i", held[:, -1], over(state)) + fresh[:, -1] * inlet for state in done.y.T
        ]
    return np.array(found)


def _against_bdf() -> bool:
    problem = _three(Scheme(cells=(_CELLS,)))
    times = 3600.0 * np.arange(1.0, _HOURS + 1.0)
    finest = simulate(replace(problem, scheme=Scheme(cells=(400,), tolerance=1e-6)), times=times).outlet
    inlet = problem.inlet.max(axis=0)
    ours: list[float] = []
    theirs: dict[bool, list[float]] = {False: [], True: []}
    for _ in range(3):  # by turns, so that a busy moment strikes all alike
        ours.append(_seconds(lambda: simulate(problem, times=times), 5))
        for exact, seconds in theirs.items():
            start = time.perf_counter()
            peer = _bdf(problem, times, _CELLS, 1e-4, exact=exact)
            seconds.append(time.perf_counter() - start)
    curve = simulate(problem, times=times)
    apart = [np.abs((outlet - finest) / inlet).max() for outlet in (curve.outlet, peer)]
    print(
        f"three vapours, {_HOURS:g} h, {_CELLS} cells: {statistics.median(ours) * 1e3:.1f} ms, {curve.steps} steps, "
        f"balance {curve.mass_balance_error:.0e}, {apart[0]:.1e} of an inlet off; BDF {apart[1]:.1e} off"
    )
    ratios = []
    for exact, seconds in theirs.items():
        ratios.append(statistics.median(b / a for a, b in zip(ours, seconds, strict=True)))
        print(
            f"    BDF {'with its exact Jacobian' if exact else 'as it comes'}: {statistics.median(seconds):.2f} s, "
            f"the march {ratios[-1]:.0f} times as fast{'' if exact else f' (bound {_LEAST:g})'}"
        )
    return ratios[0] >= _LEAST


def _year(
    vapours: int = 10, draws: int = 1, *, cells: tuple[int, int] | None = None, weeks: bool = False
) -> Problem:
    """Two layers of an invented carbon, room air of a few hundred ppb in all; with weeks, less at each end of one."""
    rng = np.random.default_rng(vapours)
    shape = (vapours, draws)
    spread = np.exp(0.1 * rng.standard_normal((2, *shape))) if draws > 1 else np.ones((2, *shape))
    p_sat = np.exp(rng.uniform(np.log(150.0), np.log(3e4), (vapours, 1))) * np.ones(shape)
    energy, limit = (rng.uniform(*ends, (vapours, 1)) for ends in ((1.1e4, 2.6e4), (3.0, 5.0)))
    rates = rng.uniform(20.0, 40.0, (1, vapours))

    def layer(depth: float, share: float) -> Packing:
        law = tables.dubinin_astakhov(
            saturation_pressure=p_sat,
            energy=share * energy * spread[0] ** 0.5,
            limit=limit * spread[1],
            temperature=295.15,
        )
        return Packing(depth, 490.0, (law,), rates)

    inlet = np.exp(rng.normal(np.log(30e-9 * 101325.0 / _RT), 1.0, vapours))
    if weeks:
        times = 3600.0 * np.sort(np.concatenate([168.0 * np.arange(53), 168.0 * np.arange(52) + 120.0]))
        feed = np.where(np.arange(104)[:, None] % 2 == 0, inlet, 0.3 * inlet)
    else:
        times, feed = np.array([0.0, 8760.0 * 3600.0]), inlet[None]
    return Problem(
        vapours=tuple(str(i) for i in range(vapours)),
        layers=(layer(0.04, 1.0), layer(0.03, 0.9)),
        area=0.25,
        times=times,
        inlet=feed,
        flow=np.full(len(feed), 0.055),
        temperature=np.full(len(feed), 295.15),
        scheme=Scheme(cells=cells or (), tolerance=1e-3 if draws > 1 else 1e-4),
    )


def _years() -> bool:
    holds = True
    for words, weeks in (("steady", False), ("104 changes of the inlet", True)):
        problem = _year(weeks=weeks)
        took = _seconds(lambda p=problem: simulate(p), 3)
        curve = simulate(problem)
        print(
            f"a year, ten vapours, two layers, {words}: {took:.3f} s, {len(curve.position)} cells, {curve.steps} steps (bound {_YEAR:g} s)"
        )
        holds = holds and took < _YEAR
    problem, times = _year(draws=1000), np.linspace(0.0, 8760.0 * 3600.0, 61)
    simulate_draws(_year(draws=2), times)
    for threads in (1, 2):
        start = time.perf_counter()
        found = simulate_draws(problem, times, threads=threads)
        took = time.perf_counter() - start
        print(
            f"    1000 draws of it, {threads} threads: {took:.1f} s, balance {found.mass_balance_error.max():.0e} (bound {_DRAWS:g} s on two)"
        )
    return holds and took < _DRAWS


def _by_size() -> None:
    def told(problem: Problem) -> str:
        took = _seconds(lambda: simulate_draws(problem, [0.0]), 3)
        steps = int(simulate_draws(problem, [0.0]).steps.sum())
        return f"{took * 1e3:10.1f} ms{steps:8d} steps"

    print("vapours (50 cells)")
    for vapours in (1, 2, 5, 10, 20, 40):
        print(f"{vapours:8d}{told(_year(vapours, cells=(30, 20)))}")
    print("cells (10 vapours)")
    for cells in (25, 50, 100, 200, 400):
        print(f"{cells:8d}{told(_year(cells=(cells * 3 // 5, cells - cells * 3 // 5)))}")
    print("draws (10 vapours, 50 cells)")
    for draws in (2, 10, 50, 200):
        print(f"{draws:8d}{told(_year(draws=draws, cells=(30, 20)))}")


def main() -> int:
    """The peer first, then the year, then the cost by size."""
    holds = [_against_bdf(), _years()]
    _by_size()
    return 0 if all(holds) else 1


if __name__ == "__main__":
    sys.exit(main())
