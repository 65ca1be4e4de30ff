"""Mixtures on tables: closed forms, two other programs, the theory's own conditions, and the traps."""

from __future__ import annotations

import math
import subprocess
import sys
import warnings

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stillroom.media import ideal_solution, tables
from stillroom.media.ideal_solution import loadings, loadings_at, pressures, pressures_at, slopes_at
from stillroom.media.mixtures import ideal_loadings

T = 295.15
LANGMUIRS = ((2.0, 0.01), (5.0, 0.3), (3.0, 8.0))
DUALS = ((2.0, 0.02, 1.0, 3.0), (1.5, 0.5, 2.0, 0.01), (0.8, 20.0, 3.0, 0.2))


def radushkevich(p_sat, energy, limit) -> tables.Tables:
    one = [np.asarray(x, float)[:, None] for x in (p_sat, energy, limit)]
    return tables.dubinin_astakhov(saturation_pressure=one[0], energy=one[1], limit=one[2], temperature=T)


def single(made: tables.Tables) -> tuple[np.ndarray, np.ndarray]:
    """What the kernels take of one draw."""
    return made.grid[:, 0], made.values[:, 0]


# closed forms


def test_equal_capacities_are_the_extended_langmuir_law():
    """Myers & Prausnitz's theory gives it exactly; 1e-8 is the table's."""
    b = np.array([0.01, 0.5, 20.0, 3e-4])
    made = tables.stack(*(tables.langmuir(limit=[3.0], affinity=[x]) for x in b))
    p = np.geomspace(1e-6, 1e4, 40)[None, None, :] * np.array([10.0, 1.0, 1e-2, 50.0])[:, None, None]
    bp = b[:, None, None] * p
    q = 3.0 * bp / (1.0 + bp.sum(0))
    np.testing.assert_allclose(loadings(p, made), q, rtol=1e-8)
    share = q.sum(0) / 3.0
    room = share < 0.999  # fuller pores: p hangs on the last digits of q
    np.testing.assert_allclose(pressures(q, made)[:, room], p[:, room], rtol=1e-6)


def test_one_vapour_alone_is_its_own_law():
    made = tables.langmuir(limit=np.full((1, 1, 1), 2.0), affinity=np.full((1, 1, 1), 0.3))
    p = np.geomspace(1e-9, 1e5, 60)[None, None, :]
    np.testing.assert_allclose(loadings(p, made), 0.6 * p / (1.0 + 0.3 * p), rtol=1e-8)


def test_it_agrees_with_the_closed_radushkevich_mixtures():
    """`mixtures.ideal_loadings` shares the theory but no table and no root finder; 1e-7 is the table's, times the
    bend's ψ/q (up to 20) in p°."""
    rng = np.random.default_rng(3)
    shape = (7, 50)
    p_sat, energy, limit = (
        np.exp(rng.normal(7, 3, shape)),
        rng.uniform(5e3, 3e4, shape),
        rng.uniform(2, 10, shape),
    )
    p = np.exp(rng.normal(-2, 4, shape))
    made = tables.dubinin_astakhov(saturation_pressure=p_sat, energy=energy, limit=limit, temperature=T)
    ours = loadings(p, made)
    theirs = ideal_loadings(pressure=p, saturation_pressure=p_sat, energy=energy, limit=limit, temperature=T)
    np.testing.assert_allclose(ours, theirs, rtol=1e-6, atol=1e-300)


# other programs


def pyiast_law(*parameters: float):
    """A ModelIsotherm of exactly these parameters; its constructor would fit data instead."""
    import pyiast

    law = pyiast.ModelIsotherm.__new__(pyiast.ModelIsotherm)
    dual = len(parameters) == 4
    law.model = "DSLangmuir" if dual else "Langmuir"
    law.params = dict(zip(("M1", "K1", "M2", "K2") if dual else ("M", "K"), parameters, strict=True))
    return law


def pygaps_law(*parameters: float):
    import pygaps
    from pygaps.modelling import get_isotherm_model

    dual = len(parameters) == 4
    names = ("n_m1", "K1", "n_m2", "K2") if dual else ("n_m", "K")
    model = get_isotherm_model("DSLangmuir" if dual else "Langmuir")
    model.params = dict(zip(names, parameters, strict=True))
    return pygaps.ModelIsotherm(
        model=model, branch="ads", material="carbon", adsorbate="nitrogen", temperature=295.0
    )


def table_of(*parameters: float) -> tables.Tables:
    return tables.langmuir(limit=parameters[0::2], affinity=parameters[1::2], nodes=512)


CASES = [
    (laws[:count], p[:count])
    for laws in (LANGMUIRS, DUALS)
    for count in (2, 3)
    for p in ((10.0, 1.0, 0.05), (200.0, 30.0, 2.0), (0.02, 0.5, 1e-3))
]


@pytest.mark.parametrize(("laws", "p"), CASES)
def test_against_pyiast(laws, p):
    """Its solver stops at 1.5e-8 of the mole fractions: 1e-6."""
    import pyiast

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of logarithms that its solver tries on its way
        theirs = pyiast.iast(np.array(p), [pyiast_law(*law) for law in laws], warningoff=True)
    ours = loadings(p, tables.stack(*(table_of(*law) for law in laws)))
    np.testing.assert_allclose(ours, theirs, rtol=1e-6)


@pytest.mark.parametrize(("laws", "p"), CASES)
def test_against_pygaps(laws, p):
    """As pyiast, but written anew: 1e-6."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of its own imports
        from pygaps.prediction.iast import iast_point

        theirs = iast_point([pygaps_law(*law) for law in laws], np.array(p), warningoff=True)
    ours = loadings(p, tables.stack(*(table_of(*law) for law in laws)))
    np.testing.assert_allclose(ours, theirs, rtol=1e-6)


# the theory's conditions

vapour = st.tuples(
    st.floats(-9.0, 9.0), st.floats(-3.0, 11.0), st.floats(3e3, 3.6e4), st.floats(1.0, 10.0), st.booleans()
)  # ln p, ln p_sat, E, limit, there at all


def drawn(cases):
    """Pressures and tables; Σ p/p_sat at most 0.99, beyond which a liquid would form and loadings tell no pressure."""
    log_p, log_sat, energy, limit, there = (np.array(x) for x in zip(*cases, strict=True))
    part = np.where(there, np.exp(np.minimum(log_p - log_sat, 0.0)), 0.0)
    part *= 0.99 / max(0.99, part.sum())
    return part * np.exp(log_sat), radushkevich(np.exp(log_sat), energy, limit)


@settings(deadline=None, max_examples=200)
@given(st.lists(vapour, min_size=1, max_size=12))
def test_pressures_undo_loadings(cases):
    """To 1e-9 in p; where pores are so full that p hangs on q's last digits, to those."""
    p, made = drawn(cases)
    q, back = np.empty_like(p), np.empty_like(p)
    s = loadings_at(p, *single(made), math.nan, q)
    for guess in (math.nan, s + 0.3, s - 2.0, 40.0, -90.0):
        pressures_at(q, *single(made), guess, back)
        there = p > 1e-250
        own, push, weight = (np.empty_like(p) for _ in range(3))
        slopes_at(q, *single(made), s, back, own, push, weight)
        lost = 1e-15 * (np.abs(push)[:, None] * weight * q).sum(1)
        assert np.all(np.abs(back - p)[there] <= (1e-9 * p + 30.0 * lost)[there])
        assert np.all(back[p == 0.0] == 0.0)


@settings(deadline=None, max_examples=200)
@given(st.lists(vapour, min_size=1, max_size=12))
def test_one_spreading_pressure_for_all_and_shares_of_one(cases):
    """The equations themselves, with the tables' own values: Σ p/p° = 1 and q = (p/p°)/Σ(p/p°/q°), to 1e-9, from
    any guess."""
    p, made = drawn(cases)
    q = np.empty_like(p)
    for guess in (math.nan, -80.0, 3.0, 60.0, math.inf):
        s = loadings_at(p, *single(made), guess, q)
        if not np.any(p > 0.0):
            assert s == -math.inf and np.all(q == 0.0)
            continue
        with np.errstate(divide="ignore"):
            share = np.exp(np.log(p) - made.log_pressure(s)[:, 0])
        assert share.sum() == pytest.approx(1.0, abs=1e-9)
        pure = np.exp(made.log_loading(s)[:, 0])
        np.testing.assert_allclose(q, share / (share / pure).sum(), rtol=1e-9, atol=1e-300)
        assert (q / pure).sum() == pytest.approx(1.0, abs=1e-9)


@settings(deadline=None, max_examples=100)
@given(st.lists(vapour, min_size=2, max_size=8), st.floats(1.01, 10.0))
def test_more_of_a_vapour_holds_more_of_it_and_raises_the_spreading_pressure(cases, factor):
    """1e-9 for the root. Of the others less is held only where capacities are alike: no test of that."""
    p, made = drawn(cases)
    more = p.copy()
    more[0] *= factor
    before, after = np.empty_like(p), np.empty_like(p)
    s = loadings_at(p, *single(made), math.nan, before)
    risen = loadings_at(more, *single(made), math.nan, after)
    assert after[0] >= before[0] * (1 - 1e-9)
    assert risen >= s - 1e-11 or risen == s


@settings(deadline=None, max_examples=100)
@given(st.lists(vapour, min_size=2, max_size=8))
def test_loadings_are_the_slopes_of_the_spreading_pressure(cases):
    """Gibbs: ∂ψ/∂ln p_i = q_i, whatever the law; only an L whose slope is ψ/q° has it. Differences of ±1e-4: 1e-6 of
    the sum."""
    p, made = drawn(cases)
    q, other = np.empty_like(p), np.empty_like(p)
    loadings_at(p, *single(made), math.nan, q)
    for i in range(len(p)):
        ends = []
        for sign in (1.0, -1.0):
            moved = p.copy()
            moved[i] *= math.exp(sign * 1e-4)
            ends.append(math.exp(loadings_at(moved, *single(made), math.nan, other)))
        assert (ends[0] - ends[1]) / 2e-4 == pytest.approx(q[i], abs=1e-6 * q.sum())


def test_the_jacobian_is_that_of_the_pressures():
    """Against central differences of relative width 1e-5: 1e-6, the table's third derivative."""
    made = radushkevich([3000.0, 27000.0, 100.0], [2.3e4, 1.3e4, 2.8e4], [4.5, 6.5, 3.0])
    for scale in (1e-6, 1e-2, 0.5):
        q = np.array([1.0, 0.7, 0.3]) * scale
        p, own, push, weight = (np.empty(3) for _ in range(4))
        s = slopes_at(q, *single(made), math.nan, p, own, push, weight)
        np.testing.assert_allclose(p, pressures(q, made), rtol=1e-12)
        jacobian = np.diag(own) + push[:, None] * weight - p[:, None] / q.sum()
        for j in range(3):
            step = np.zeros(3)
            step[j] = 1e-5 * q[j]
            slope = (pressures(q + step, made) - pressures(q - step, made)) / (2.0 * step[j])
            np.testing.assert_allclose(jacobian[:, j], slope, rtol=1e-6)
        assert s == pytest.approx(pressures_at(q, *single(made), 0.0, p), abs=1e-11)


def test_the_jacobian_of_absent_vapours_is_their_slope_in_what_is_there():
    """A trace of it, divided by the trace; 1e-6 for the trace's own effect."""
    made = radushkevich([3000.0, 27000.0], [2.3e4, 1.3e4], [4.5, 6.5])
    p, own, push, weight = (np.empty(2) for _ in range(4))
    slopes_at(np.array([0.5, 0.0]), *single(made), math.nan, p, own, push, weight)
    assert p[1] == 0.0 and push[1] == 0.0
    trace = pressures(np.array([0.5, 1e-9]), made)[1] / 1e-9
    assert own[1] == pytest.approx(trace, rel=1e-6)


def test_an_empty_carbon_has_henrys_slopes():
    """p/q of so little that nothing else counts; 1e-9, the deepest node."""
    made = radushkevich([3000.0, 27000.0], [1.2e4, 0.9e4], [4.5, 6.5])
    p, own, push, weight = (np.empty(2) for _ in range(4))
    assert slopes_at(np.zeros(2), *single(made), math.nan, p, own, push, weight) == -math.inf
    assert np.all(p == 0.0) and np.all(push == 0.0)
    q = np.array([1e-18, 1e-18])
    np.testing.assert_allclose(own, pressures(q, made) / q, rtol=1e-9)


# the traps


def test_a_trace_of_1e_12_beside_a_strong_one():
    """The strong one is alone; the trace has x = p/p° at the strong one's ψ. 1e-9: the root."""
    made = radushkevich([3000.0, 500.0], [2.3e4, 2.5e4], [4.5, 4.0])
    p = np.array([300.0, 1e-12])
    q = loadings(p, made)
    alone = loadings(np.array([300.0, 0.0]), made)
    assert q[0] == pytest.approx(alone[0], rel=1e-9)
    assert 0.0 < q[1] < 1e-9 * q[0]
    np.testing.assert_allclose(pressures(q, made), p, rtol=1e-9)


def test_a_trace_of_benzene_under_xylene():
    """p-xylene near its saturation lifts ψ above benzene's own saturation: benzene keeps a finite p°, and is held far
    less than alone. Limits and energies of an ordinary carbon, from memory. Closed form of ψ beside it."""
    p_sat, energy, limit = [1160.0, 12600.0], [2.5e4, 1.95e4], [3.6, 5.0]
    made = radushkevich(p_sat, energy, limit)
    p = np.array([1100.0, 1.0])
    q, grid = np.empty(2), made.grid[:, 0]
    s = loadings_at(p, *single(made), math.nan, q)
    light = radushkevich([1160.0, 12600.0], [2.5e4, 0.9e4], [3.6, 5.0])
    s_light = loadings_at(p, *single(light), math.nan, q)
    assert s_light > light.grid[1, 0, 4]  # above the lighter one's saturation: the extrapolation
    expected = np.log(12600.0) + (math.exp(s_light) - math.exp(light.grid[1, 0, 4])) / 5.0
    assert light.log_pressure(s_light)[1, 0] == pytest.approx(expected, rel=1e-9)
    assert np.all(np.isfinite(q)) and 0.0 < q[1] < 0.01
    q = loadings(p, made)
    alone = loadings(np.array([0.0, 1.0]), made)
    assert q[1] < 0.05 * alone[1] and math.isfinite(s) and grid.shape == (2, 9)
    np.testing.assert_allclose(pressures(q, made), p, rtol=1e-6)  # nearly full: 1e-9/(1 − fullness)


def test_forty_vapours():
    """A room's air: 1e-9 of ten decades of pressures there and back."""
    rng = np.random.default_rng(5)
    made = radushkevich(np.exp(rng.uniform(2, 10, 40)), rng.uniform(8e3, 3e4, 40), rng.uniform(2, 8, 40))
    p = 10.0 ** rng.uniform(-9, 1, 40)
    q = loadings(p, made)
    assert np.all(q > 0.0)
    np.testing.assert_allclose(pressures(q, made), p, rtol=1e-9)


def test_an_s_shaped_law_beside_a_langmuir_one():
    """Henry's law, then a log-log slope up to 3, then full: q passes ψ. There and back to 1e-9, from any guess."""

    def loading(x):
        y = np.exp(3.0 * x)
        return 5.0 * (1e-4 * np.exp(x) + y) / (1.0 + y + 1e-4 * np.exp(x))

    made = tables.stack(
        tables.from_loading(loading, log_low=-14.0, log_high=4.0, nodes=512),
        tables.langmuir(limit=[3.0], affinity=[0.2], nodes=512),
    )
    assert np.any(
        made.log_loading(np.linspace(-12.0, 2.0, 200)[:, None, None])[:, 0, 0] > np.linspace(-12.0, 2.0, 200)
    )
    for p in ([1e-3, 1e-4], [0.3, 1e-3], [1.0, 0.5], [20.0, 1e-2], [0.1, 0.0]):
        q, back = loadings(p, made), np.empty(2)
        for guess in (math.nan, -50.0, 0.0, 3.0):
            pressures_at(q, *single(made), guess, back)
            np.testing.assert_allclose(back, p, rtol=1e-9)


def test_nothing_gives_nothing():
    made = radushkevich([3000.0, 27000.0], [2.3e4, 1.3e4], [4.5, 6.5])
    assert np.all(loadings([0.0, 0.0], made) == 0.0) and np.all(pressures([0.0, 0.0], made) == 0.0)
    assert np.all(loadings([-1.0, 0.0], made) == 0.0) and np.all(pressures([-1.0, 0.0], made) == 0.0)


def test_over_full_pores_get_pressures_that_grow_on_from_saturation():
    """As documented: x_i p_i° Σ q_j/q_j° at the highest saturation; algebra for one vapour, order for two."""
    made = radushkevich([3000.0, 27000.0], [2.3e4, 1.3e4], [4.5, 6.5])
    np.testing.assert_allclose(pressures([4.5 * 1.25, 0.0], made), [3000.0 * 1.25, 0.0], rtol=1e-9)
    amounts = np.linspace(3.0, 9.0, 200)
    p = pressures(np.stack([amounts, np.full(200, 0.5)])[:, None, :], made)[:, 0]
    assert np.all(np.isfinite(p)) and np.all(np.diff(p[0]) > 0.0)
    q = np.array([5.0, 0.5])
    p, own, push, weight = (np.empty(2) for _ in range(4))
    slopes_at(q, *single(made), math.nan, p, own, push, weight)
    jacobian = np.diag(own) + push[:, None] * weight - p[:, None] / q.sum()
    for j in range(2):
        step = np.eye(2)[j] * 1e-5
        slope = (pressures(q + step, made) - pressures(q - step, made)) / 2e-5
        np.testing.assert_allclose(jacobian[:, j], slope, rtol=1e-6)


@pytest.mark.parametrize("left", [1e-3, 1e-6, 1e-9, 1e-12, 1e-15])
def test_nearly_full_pores(left):
    """Σ q/q_sat = 1 − left with the law's flat end: the pure law tells p, d ln p/d ln q = (E/2RT)/√left times as
    sharply as the table tells q, 1e-9."""
    made = radushkevich([3000.0], [2.3e4], [4.5])
    q = 4.5 * (1.0 - left)
    a = 2.3e4 * math.sqrt(-math.log(q / 4.5)) if q < 4.5 else 0.0
    p = 3000.0 * math.exp(-a / (8.31446261815324 * T))
    assert pressures([q], made)[0] == pytest.approx(p, rel=1e-6 + 5e-9 / math.sqrt(left))


# arrays


def test_draws_and_points_and_one_for_all():
    one = radushkevich([3000.0, 27000.0], [2.3e4, 1.3e4], [4.5, 6.5])
    three = tables.stack(
        one, tables.langmuir(limit=np.full((1, 1, 3), 2.0), affinity=np.full((1, 1, 3), 0.1))
    )
    p = np.random.default_rng(1).uniform(0.1, 10.0, (3, 3, 5))
    q = loadings(p, three)
    assert q.shape == (3, 3, 5)
    np.testing.assert_allclose(q[:, 1, 2], loadings(p[:, :, 2], three)[:, 1], rtol=1e-12)
    assert loadings(p[:, 0, 0], three).shape == (3, 3)  # one mixture, every draw
    assert loadings(p[:2, :, 0], one).shape == (2, 3)  # one draw of the tables, every mixture
    np.testing.assert_allclose(pressures(q, three), p, rtol=1e-8)
    with pytest.raises(ValueError, match="2 vapours"):
        loadings([1.0, 2.0, 3.0], one)
    with pytest.raises(ValueError, match="2 draws"):
        loadings(p[:, :2], three)


def test_kernels_call_kernels():
    """A march over cells, each beginning at its neighbour's s, in one compiled loop."""
    from numba import njit

    made = radushkevich([3000.0, 27000.0], [2.3e4, 1.3e4], [4.5, 6.5])
    called = ideal_solution.pressures_at

    @njit
    def march(q, grid, values, p):
        s = np.nan
        for cell in range(q.shape[0]):
            s = called(q[cell], grid, values, s, p[cell])
        return s

    q = np.random.default_rng(2).uniform(1e-6, 1.0, (50, 2))
    p = np.empty_like(q)
    march(q, *single(made), p)
    np.testing.assert_allclose(p.T[:, None, :], pressures(q.T[:, None, :], made), rtol=1e-9)


def test_kept_code_hangs_on_the_files_of_the_kernels_it_holds():
    from stillroom.media import kernels

    assert ideal_solution._law in kernels._called(loadings_at.py_func)


def test_a_changed_kernel_is_compiled_anew_inside_its_callers(tmp_path):
    """Kept code of a caller holds the called one's: another process, after a change of the called file alone."""
    head = "from stillroom.media.kernels import kernel\n"
    (tmp_path / "caller.py").write_text(
        head + "import called\n@kernel\ndef outer(x):\n    return called.inner(x) + 1.0\n"
    )
    for factor in ("2.0", "30.0"):
        (tmp_path / "called.py").write_text(head + f"@kernel\ndef inner(x):\n    return {factor} * x\n")
        code = f"import caller; assert caller.outer(1.0) == {factor} + 1.0, caller.outer(1.0)"
        done = subprocess.run(
            [sys.executable, "-c", code], cwd=tmp_path, capture_output=True, text=True, check=False
        )
        assert done.returncode == 0, done.stderr
    assert list(tmp_path.glob("__pycache__/caller.outer*.nbi"))


def test_kernels_work_where_nothing_can_be_written(tmp_path):
    """No folder for compiled code, neither beside the source nor the user's."""
    code = (
        "from numba.core import caching\n"
        "caching.CacheImpl._locator_classes = []\n"
        "from stillroom.media import kernels\n"
        "@kernels.kernel\n"
        "def twice(x):\n    return 2.0 * x\n"
        "assert twice(2.0) == 4.0\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=tmp_path, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr


@pytest.mark.parametrize(
    "module", ["stillroom", "stillroom.media", "stillroom.media.tables", "stillroom.bed"]
)
def test_looking_into_the_room_does_not_compile(module):
    code = f"import sys, {module}; sys.exit('numba' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
