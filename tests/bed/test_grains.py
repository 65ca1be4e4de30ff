"""Grains that were fresh and fill: exact beds solved apart, and their balance."""

from __future__ import annotations

import numpy as np
import pytest

from stillroom import bed
from stillroom.bed.closed_form import filling_bed, passed, spread_units
from stillroom.substances import properties

SHARES = np.array([0.01, 0.03, 0.1, 0.2, 0.3, 0.5, 0.7])


def diffusion_bed(film: float, pore: float, cells: int = 40, shells: int = 20) -> np.ndarray:
    """Outlet at `SHARES` of a bed of spheres with gas film and Fickian diffusion, proportional isotherm [-].

    Explicit finite volumes (the model of Rosen 1952); `film` and `pore` are transfer units, the latter of
    Glueckauf's linear driving force, 15 D/r².
    """
    edge = np.linspace(0.0, 1.0, shells + 1)
    volume, area, width = edge[1:] ** 3 - edge[:-1] ** 3, edge[1:-1] ** 2, 1.0 / shells
    diffusion = pore / 15.0
    step = min(0.1 * width**2 / diffusion, 0.3 * volume[-1] / film)
    units = 1.0 / (1.0 / film + width / (6.0 * diffusion))
    held, time, out = np.zeros((cells, shells)), 0.0, []
    while len(out) < SHARES.size:
        gas, flux = 1.0, np.empty(cells)
        for j in range(cells):
            after = held[j, -1] + (gas - held[j, -1]) * np.exp(-units / cells)
            flux[j], gas = (gas - after) * cells, after
        inward = 3.0 * diffusion * area * np.diff(held, axis=1) / width
        change = np.zeros_like(held)
        change[:, :-1] += inward
        change[:, 1:] -= inward
        change[:, -1] += flux
        held, time = held + step * change / volume, time + step
        if time >= SHARES[len(out)]:
            out.append(gas)
    return np.array(out)


def core_bed(film: float, pore: float, cells: int = 200) -> np.ndarray:
    """The same with an irreversible uptake: a core that shrinks, 1/N = 1/film + 5 (1/ρ − 1)/pore [-]."""
    full, time, out, step = np.zeros(cells), 0.0, [], 2e-4
    while len(out) < SHARES.size:
        core = np.cbrt(np.maximum(1.0 - full, 1e-9))
        units = np.where(full < 1.0, 1.0 / (1.0 / film + 5.0 * (1.0 / core - 1.0) / pore), 0.0)
        gas = np.concatenate([[1.0], np.exp(-np.cumsum(units) / cells)])
        full, time = np.minimum(full - step * cells * np.diff(gas), 1.0), time + step
        if time >= SHARES[len(out)]:
            out.append(gas[-1])
    return np.array(out)


@pytest.mark.parametrize(("film", "pore"), [(36.0, 1.9), (36.0, 6.0), (15.0, 8.0)])
def test_between_the_exact_beds(film: float, pore: float) -> None:
    """With the spread of a proportional isotherm: never under half of the exact bed while under a tenth is through, within
    0.1 of it afterwards; with none: over that of a shrinking core until a tenth of the inlet is through. A bed
    with the linear driving force alone lets e^−N through at once: 17 % at 36 and 1.9, where both exact beds let
    next to nothing through.
    """
    both = 1.0 / (1.0 / film + 1.0 / pore)
    exact = diffusion_bed(film, pore)
    spread, _ = filling_bed(fed=SHARES, capacity=1.0, fresh=film, filling=spread_units(both, slope=1.0))
    early = exact < 0.1
    assert np.all(spread[early] > 0.5 * exact[early])
    assert np.all(np.abs(spread - exact)[~early] < 0.1)
    sharp, _ = filling_bed(fed=SHARES, capacity=1.0, fresh=film, filling=both)
    core = core_bed(film, pore)
    assert np.all(sharp[core < 0.1] > core[core < 0.1])
    new, _ = filling_bed(fed=0.0, capacity=1.0, fresh=film, filling=both)
    assert new == pytest.approx(np.exp(-film), rel=1e-6)


@pytest.mark.parametrize("units", [40.0, 12.0, 3.0, 0.5])
def test_balance_and_limits(units: float) -> None:
    """∫ outlet = what has left (trapezia, 2e-6); in the end exactly the capacity is held; nothing that fills: `passed`."""
    time = np.linspace(0.0, 5.0, 100_001)
    out, gone = filling_bed(fed=time, capacity=1.0, fresh=units, filling=0.2 * units)
    summed = np.concatenate([[0.0], np.cumsum((out[1:] + out[:-1]) / 2.0 * np.diff(time))])
    assert np.max(np.abs(summed - gone)) < 2e-6
    assert np.all(np.diff(out) > -1e-4)
    last = filling_bed(fed=1e4, capacity=1.0, fresh=units, filling=0.2 * units)
    assert 1e4 - last[1] == pytest.approx(1.0, abs=1e-6)
    fed = np.geomspace(1e-9, 30.0, 200) * 7.0
    _, plain = filling_bed(fed=fed, capacity=7.0, fresh=units, filling=units)
    np.testing.assert_allclose(plain, passed(fed=fed, capacity=7.0, units=units), rtol=2e-5, atol=1e-13)


def test_a_stranger_finds_less_room_beside_what_the_room_brought(draw, ppm) -> None:
    """Activity coefficients in hydrocarbons (from memory, order of magnitude): methanol 10–50 (8 and more by regular
    solutions), acetone and benzene near 1."""
    stack = draw("methanol", "acetone", "benzene")
    boiling = properties("67-56-1", temperature=295.15)
    assert 5.0 < bed.drawing._activity(boiling) < 50.0
    assert bed.drawing._activity(properties("71-43-2", temperature=295.15)) < 1.1
    assert bed.drawing._activity(properties("67-64-1", temperature=295.15)) < 3.0
    # no boiling point in these values: the most is taken
    assert np.all(stack.arrays.activity == 20.0)


def test_a_smaller_spill_on_a_loaded_filter_is_never_worse(draw, ppm) -> None:
    """Ten times less of a weakly held vapour leaves in no larger share, by more than the isotherm's own slope allows."""
    stack = draw("acetone", "decane")
    normal = np.vstack([np.zeros(400), np.full(400, 0.3 * ppm)])
    mean = []
    for level in (60.0, 600.0):
        spilled = np.vstack([np.full(400, level * ppm), np.zeros(400)])
        mean.append(stack.spill_exhaust([365 * 86400.0], normal, spilled, 900.0).mean[0, 0] / (level * ppm))
    assert np.median(mean[0]) < 2.0 * np.median(mean[1]) + 1e-3
