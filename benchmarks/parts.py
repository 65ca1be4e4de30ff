"""Single steps of an assessment, each against the time it may take and a named peer."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterator

import numpy as np

from stillroom import bed, emission, inventory, media
from stillroom.media.mixtures import ideal_loadings
from stillroom.segregation import conflicts
from stillroom.substances import limits, properties

Work = Callable[[], object]
NAMES = ("toluene", "acetone", "methanol", "ethanol", "benzene", "hexane", "pyridine", "nitric acid 65 %")
AIR = {"temperature": 295.15, "pressure": 101325.0}
DAY = 86400.0


def _text(rows: int) -> str:
    """An invented inventory of as many rows, no two alike."""
    lines = (f"{NAMES[row % len(NAMES)]},{row + 1} mL,1" for row in range(rows))
    return "Name,Size,Count\n" + "\n".join(lines)


def _read_by_csv(text: str) -> object:
    return list(csv.reader(io.StringIO(text)))


def _svd() -> object:
    return np.linalg.svd(np.random.default_rng(1).standard_normal((300, 300)))


def _lognormals() -> object:
    return np.random.default_rng(1).lognormal(size=(4, 65, 1000))


def parts() -> Iterator[tuple[str, Work, float, str, Work]]:
    """What, the step, seconds it may take, the peer's name, the peer."""
    sixty = _text(60)
    bottles = list(inventory.read_bytes(_text(65).encode(), "list.csv").containers)
    rng = np.random.default_rng(1)
    shape = (40, 1000)
    mixture = {
        "pressure": np.exp(rng.normal(-4, 4, shape)),
        "saturation_pressure": np.exp(rng.normal(7, 3, shape)),
        "energy": rng.uniform(6e3, 3e4, shape),
        "limit": rng.uniform(2e-3, 1e-2, shape),
    }
    vapours = [
        bed.Vapour(properties(cas), None) for cas in ("108-88-3", "67-64-1", "67-56-1", "71-43-2", "124-18-5")
    ] * 6
    filters = media.FilterStack(
        None,
        tuple(
            media.Bed(media.load(name), mass, 0.25)
            for name, mass in (("coconut", 5.0), ("impregnated-acid-gas", 3.0))
        ),
        media.default_seal_bypass(),
    )
    inlet = (
        np.exp(np.random.default_rng(2).normal(-2.0, 2.0, (30, 1000))) * 4.13e-5
    )  # mol/m³, 0.14 ppm in the middle

    def draw() -> bed.Stack:
        return bed.Stack.draw(
            filters,
            vapours,
            flow=200.0 / 3600.0,
            relative_humidity=0.4,
            rng=np.random.default_rng(1),
            size=1000,
            **AIR,
        )

    stack = draw()
    yield (
        "60 rows read",
        lambda: inventory.read_bytes(sixty.encode(), "list.csv"),
        0.3,
        "csv's reader",
        lambda: _read_by_csv(sixty),
    )
    yield (
        "100 limits chosen",
        lambda: [limits.choose("67-64-1", lists=("niosh-rel", "uk-eh40")) for _ in range(100)],
        0.5,
        "csv's reader, 60 rows a hundred times",
        lambda: [_read_by_csv(sixty) for _ in range(100)],
    )
    yield "65 bottles apart", lambda: conflicts(bottles), 0.5, "numpy's SVD, 300 x 300", _svd
    yield (
        "65 bottles give off",
        lambda: emission.normal_release(bottles, rng=np.random.default_rng(1), size=1000, **AIR),
        0.9,
        "numpy's lognormals, 4 x 65 x 1000",
        _lognormals,
    )
    yield (
        "40 vapours mixed",
        lambda: ideal_loadings(**mixture, temperature=295.15),
        0.5,
        "numpy's SVD, 300 x 300",
        _svd,
    )
    yield (
        "30 through a stack",
        lambda: draw().exhaust(np.linspace(0.0, 400 * DAY, 60), inlet),
        1.0,
        "numpy's SVD, 300 x 300",
        _svd,
    )
    yield (
        "30 spilled on it",
        lambda: stack.spill_exhaust(np.linspace(0.0, 400 * DAY, 12), inlet, inlet * 1e3, 600.0),
        1.0,
        "numpy's SVD, 300 x 300",
        _svd,
    )
