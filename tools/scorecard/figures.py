"""Figures of the scorecard, as PNG."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import matplotlib

matplotlib.use("Agg")
import matplotlib.pyplot as plt
import numpy as np

from stillroom.media.fitting import fit
from stillroom.media.fitting.predict import alone, curves
from tools.scorecard.cartridges import FRACTIONS, Cartridge
from tools.scorecard.data import Point, points_of
from tools.scorecard.judge import Score

__all__ = ["breakthrough", "isotherms", "parity"]

plt.rcParams.update(
    {"font.size": 8, "axes.grid": True, "grid.alpha": 0.3, "figure.dpi": 110, "svg.hashsalt": "0"}
)


def parity(file: Path, panels: Sequence[tuple[str, Sequence[Score]]]) -> None:
    """Measured against predicted, with the 90 % interval of each point."""
    figure, axes = plt.subplots(1, len(panels), figsize=(3.6 * len(panels), 3.5), squeeze=False)
    for axis, (title, scores) in zip(axes[0], panels, strict=True):
        every = np.concatenate([np.concatenate([one.measured, one.p50]) for one in scores])
        low, high = every.min() * 0.7, every.max() * 1.4
        axis.plot([low, high], [low, high], color="black", lw=0.8)
        for factor in (0.5, 2.0):
            axis.plot([low, high], [low * factor, high * factor], color="black", lw=0.5, ls=":")
        for one in scores:
            axis.errorbar(one.p50, one.measured, xerr=[one.p50 - one.p05, one.p95 - one.p50], fmt=".", ms=3, lw=0.3, alpha=0.6)  # fmt: skip
        axis.set(xscale="log", yscale="log", xlim=(low, high), ylim=(low, high), title=title, xlabel="predicted, g/g", ylabel="measured, g/g")  # fmt: skip
    _keep(figure, file)


def isotherms(file: Path, title: str, train: list[Point], rows: list[Point], *, below: float | None) -> None:
    """Each vapour's isotherms with the band of a fit to `train`."""
    posteriors = fit(points_of(train))
    names = list(dict.fromkeys((one.cas, one.name) for one in rows))[:4]
    figure, axes = plt.subplots(1, len(names), figsize=(3.2 * len(names), 3.2), squeeze=False)
    for axis, (cas, name) in zip(axes[0], names, strict=True):
        curve = curves(posteriors, [cas], draws=1500)[cas]
        own = [one for one in rows if one.cas == cas]
        temperatures = sorted({one.temperature for one in own})[:5]
        for colour, temperature in enumerate(temperatures):
            here = [one for one in own if one.temperature == temperature]
            pressures = np.geomspace(
                min(one.pressure for one in here) / 3, max(one.pressure for one in here), 60
            )
            asked = points_of([Point(cas, name, temperature, float(p), 1e-3, "", "") for p in pressures])
            low, middle, high = np.quantile(alone(curve, asked), [0.05, 0.5, 0.95], axis=1)
            axis.plot(pressures[: len(middle)], middle, color=f"C{colour}", lw=1, label=f"{temperature:g} K")
            axis.fill_between(pressures[: len(middle)], low, high, color=f"C{colour}", alpha=0.15)
            axis.plot([one.pressure for one in here], [one.loading for one in here], ".", color=f"C{colour}", ms=4)  # fmt: skip
        if below is not None:
            axis.axvline(below, color="black", lw=0.6, ls="--")
        axis.set(xscale="log", yscale="log", title=name, xlabel="Pa", ylabel="g/g")
        axis.legend(fontsize=6)
    figure.suptitle(title, fontsize=8)
    _keep(figure, file)


def breakthrough(file: Path, found: Sequence[Cartridge]) -> None:
    """Outlet over inlet in time with its band, and where 1 % and 10 % were measured."""
    figure, axes = plt.subplots(1, len(found), figsize=(3.2 * len(found), 3.0), squeeze=False)
    for axis, one in zip(axes[0], found, strict=True):
        low, middle, high = np.quantile(np.maximum(one.outlet, 1e-4), [0.05, 0.5, 0.95], axis=1)
        axis.plot(one.times, middle, color="C0", lw=1)
        axis.fill_between(one.times, low, high, color="C0", alpha=0.15)
        axis.plot(one.measured, FRACTIONS, "o", color="black", ms=4)
        axis.set(yscale="log", ylim=(1e-3, 1.1), title=one.name, xlabel="minutes", ylabel="outlet over inlet")
    _keep(figure, file)


def _keep(figure: plt.Figure, file: Path) -> None:
    file.parent.mkdir(parents=True, exist_ok=True)
    figure.tight_layout()
    figure.savefig(file, metadata={"Software": None})
    plt.close(figure)
