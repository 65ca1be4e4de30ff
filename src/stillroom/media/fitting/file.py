"""A fitted medium as a TOML file: what every medium's file holds, and the fit beneath it."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from stillroom.errors import InputError, Problem
from stillroom.media.draws import Z95
from stillroom.media.fitting.hierarchical import Posterior, fit, fit_radushkevich
from stillroom.media.fitting.laws import LAWS
from stillroom.media.fitting.points import Points
from stillroom.media.load import load as load_medium
from stillroom.media.model import Interval
from stillroom.media.write import interval_lines, quoted

__all__ = ["MODEL", "dumps", "loads"]

Array = NDArray[np.float64]

MODEL = "1"
"""Changes where a file's numbers mean something else."""
_SENSIBLE = {"micropore_volume_cm3_g": (0.01, 2.0), "characteristic_energy_kJ_mol": (5.0, 40.0)}


def dumps(points: Points, *, name: str, digest: str, remarks: Sequence[str] = ()) -> str:
    """The file of a medium fitted to `points`.

    Parameters
    ----------
    points : Points
        Measured.
    name : str
        Of the medium.
    digest : str
        SHA-256 of the table of points.
    remarks : sequence of str
        What was left out of the table; kept as a note.

    Notes
    -----
    Pore volume and energy, by which assessments take a medium, are those of Dubinin and Radushkevich's law (exponent 2)
    fitted to the same points. Density, grain and void fraction are the generic medium's: points do not tell them.
    """
    generic = load_medium("generic")
    posteriors = fit(points)
    plain = fit_radushkevich(points)
    lines = [
        f"name = {quoted(name)}",
        f"title = {quoted(f'{name}, fitted')}",
        f"note = {quoted('; '.join([f'fitted to {len(points.cas)} points of {len(plain.vapours)} vapours', *remarks]))}",
    ]
    note = "by Dubinin and Radushkevich's law"
    for at, (key, ends) in enumerate(_SENSIBLE.items()):
        spread = Z95 * np.sqrt(plain.covariance[at, at])
        low, middle, high = np.clip(np.exp(plain.mean[at] + spread * np.array([-1.0, 0.0, 1.0])), *ends)
        lines += ["", f"[{key}]", *interval_lines(Interval(low, middle, high, note=note))]
    for key, interval, factor in (
        ("bulk_density_kg_m3", generic.bulk_density, 1.0),
        ("grain_diameter_mm", generic.grain_diameter, 1e3),
    ):
        told = replace(interval, source="", note="the generic medium's: put in your own")
        lines += ["", f"[{key}]", *interval_lines(told, factor=factor)]
    lines += [
        "",
        "[fit]",
        f"model = {quoted(MODEL)}",
        f"points_sha256 = {quoted(digest)}",
        f"vapours = [{', '.join(quoted(cas) for cas in plain.vapours)}]",
        f"reach_kJ_mol = {_numbers(plain.reach)}",
    ]
    for posterior in posteriors:
        lower = np.linalg.cholesky(posterior.covariance)
        lines += [
            "",
            "[[fit.law]]",
            f"name = {quoted(posterior.law.name)}",
            f"mean = {_numbers(posterior.mean)}",
            "cholesky = [",
            *(f"  {_numbers(row[: at + 1])}," for at, row in enumerate(lower)),
            "]",
        ]
    return "\n".join(lines) + "\n"


def loads(text: str, *, file: str) -> tuple[Posterior, ...]:
    """The posteriors that a fitted medium's file holds.

    Raises
    ------
    InputError
        The file is no TOML, or its medium was not fitted, or not by this model.
    """
    try:
        told: Mapping[str, Any] = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _wrong(f"this is not TOML: {error}", file) from None
    if "fit" not in told:
        raise _wrong("this medium was not fitted to points", file)
    if told["fit"].get("model") != MODEL:
        raise _wrong("this medium was fitted by another model", file)
    try:
        return tuple([_posterior(told["fit"], law) for law in told["fit"]["law"]])
    except (KeyError, TypeError, ValueError, IndexError, StopIteration):
        raise _wrong("the fit in this file is not whole", file) from None


def _posterior(fitted: Mapping[str, Any], told: Mapping[str, Any]) -> Posterior:
    vapours = tuple(str(cas) for cas in fitted["vapours"])
    size = 3 + 3 * len(vapours)
    lower = np.zeros((size, size))
    for at, row in enumerate(told["cholesky"]):
        lower[at, : at + 1] = row
    mean, reach = np.asarray(told["mean"], float), np.asarray(fitted["reach_kJ_mol"], float)
    if mean.shape != (size,) or len(told["cholesky"]) != size or reach.shape != (len(vapours),):
        raise ValueError
    if not all(np.isfinite(part).all() for part in (mean, lower, reach)):
        raise ValueError
    law = next(law for law in LAWS if law.name == told["name"])
    return Posterior(law, vapours, mean, lower @ lower.T, reach)


def _wrong(what: str, file: str) -> InputError:
    return InputError(Problem(what, "Make the file with stillroom media fit.", file=file))


def _numbers(values: Array) -> str:
    return f"[{', '.join(f'{float(value):.9g}' for value in values)}]"
