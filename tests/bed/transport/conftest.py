"""A bed of Langmuir vapours, invented; numbers of the order of a cabinet's bed."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import pytest

from stillroom.bed.transport import Langmuir, Linear, Packing, Problem, Scheme

DEPTH, DENSITY, AREA, FLOW, KELVIN = 0.05, 480.0, 0.25, 0.05, 295.15
RT = 8.31446261815324 * KELVIN


@pytest.fixture
def make() -> Callable[..., Problem]:
    """A problem from capacities, affinities and rates; pieces are (hours, [ppm, …])."""

    def _make(
        limit: Sequence[float],
        affinity: Sequence[float],
        rates: Sequence[float],
        pieces: Sequence[tuple[float, Sequence[float]]],
        *,
        until: float,
        depths: Sequence[float] = (DEPTH,),
        linear: bool = False,
        scheme: Scheme | None = None,
        **more: object,
    ) -> Problem:
        law = (
            Linear(np.asarray(affinity, float))
            if linear
            else Langmuir(np.asarray(limit, float), np.asarray(affinity, float))
        )
        count = len(pieces)
        return Problem(
            vapours=tuple(f"vapour {i + 1}" for i in range(len(rates))),
            layers=tuple(Packing(depth, DENSITY, (law,), np.array([rates], float)) for depth in depths),
            area=AREA,
            times=3600.0 * np.array([*(hours for hours, _ in pieces), until]),
            inlet=np.array([ppm for _, ppm in pieces], float) * 1e-6 * 101325.0 / RT,
            flow=np.full(count, FLOW),
            temperature=np.full(count, KELVIN),
            scheme=scheme or Scheme(),
            **more,
        )

    return _make


@pytest.fixture
def three(make) -> Callable[..., Problem]:
    """Three vapours, light to heavy, 200 h of loading and 200 h of clean air."""

    def _three(scheme: Scheme | None = None, **more: object) -> Problem:
        return make(
            [5.0, 4.0, 4.0], [0.002, 0.05, 1.0], [60.0, 40.0, 30.0],
            [(0.0, [500.0, 200.0, 100.0]), (200.0, [0.0, 0.0, 0.0])], until=400.0, scheme=scheme, **more,
        )  # fmt: skip

    return _three
