"""Readings simulated from a hidden truth bring it back: the small form of ``python -m benchmarks.readings``.

Simulation-based calibration, Talts, Betancourt, Simpson, Vehtari & Gelman (2018), arXiv:1804.06788.
"""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import pytest


@pytest.fixture(scope="module")
def benchmark() -> ModuleType:
    path = Path(__file__).parents[2] / "benchmarks" / "readings.py"
    spec = importlib.util.spec_from_file_location("benchmarks_readings", path)
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module  # dataclasses look their module up
    spec.loader.exec_module(module)
    return module


def test_the_interval_holds_the_truth(benchmark: ModuleType) -> None:
    # 90 % of 8: fewer than 5 would come once in two hundred (binomial); 200 cabinets in the benchmark
    made = benchmark.cabinets(8, seed=5, draws=400)
    found = [benchmark.run(watched, seed=number, repeats=49) for number, watched in enumerate(made)]
    done = [item for item in found if item is not None]
    assert len(done) >= 7
    assert sum(item.covered for item in done) >= 5
    assert sum(not item.consistent for item in done) <= 3
    assert any(item.width_ratio < 0.7 for item in done)  # the readings say something


def test_a_leaking_seal_is_found(benchmark: ModuleType) -> None:
    # 80 % of 6: fewer than 3 would come twice in a hundred (binomial); 100 cabinets in the benchmark
    made = benchmark.cabinets(6, seed=6, draws=400, sound=True)
    found = [
        benchmark.run(watched, seed=number, bypass=0.12, repeats=49) for number, watched in enumerate(made)
    ]
    called = [item for item in found if item is not None and not item.consistent]
    assert len(called) >= 3
    assert sum(item.first == "by-pass" for item in called) >= 0.75 * len(called)
