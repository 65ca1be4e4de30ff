"""Fit a carbon by partial pooling: its own pore volume, energy and shape, and each vapour's deviations from them.

    ln W = ln W0 + v_i + f(A; β_i E0 e^{e_i}, k e^{s_i})

f is a law of `laws`. v_i, e_i and s_i have spreads learned from published isotherms, so a vapour with many points goes
to its points, and one without any keeps the carbon's values and the spreads.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from stillroom.media.fitting.laws import LAWS, RADUSHKEVICH, Law
from stillroom.media.fitting.points import Points

__all__ = ["ENERGY_SPREAD", "SHAPE_SPREAD", "VOLUME_SPREAD", "Posterior", "fit", "fit_radushkevich"]

Array = NDArray[np.float64]

VOLUME_SPREAD, ENERGY_SPREAD, SHAPE_SPREAD = 0.09, 0.09, 0.05
"""Of a vapour about its carbon, in ln [-]: by leaving vapours out of published isotherms (docs/theory/media.md)."""
_VOLUME = (0.45, 0.5)
"""Median of the pore volume of activated carbons [cm³/g] and its spread in ln: wide on purpose."""
_ERROR = 0.03
"""Of a measured loading about the law, in ln [-]; Student's t, since digitised figures have strays."""
_FREEDOM = 3.0
_STEP = 1e-6
_COUNT = 12.0
"""Points of one vapour that count fully; more of them share this weight, since their errors hang together [-]."""


@dataclass(frozen=True, slots=True)
class Posterior:
    """What one law says of a carbon: mode and covariance of ln W0, ln E0, ln shape, then v, e and s of each vapour."""

    law: Law
    vapours: tuple[str, ...]
    mean: Array
    """shape (3 + 3 n_v,)"""
    covariance: Array
    reach: Array
    """highest potential over affinity that was measured of each vapour [kJ/mol], shape (n_v,)"""

    def log_volume(self, points: Points, values: Array) -> Array:
        """ln W, W in cm³/g, at points of vapours that were fitted.

        Parameters
        ----------
        points : Points
            Of vapours among `vapours`.
        values : ndarray
            As `mean`: logarithms [-].
        """
        return _log_volume(self.law, points, values, self.vapours)


def _log_volume(law: Law, points: Points, values: Array, vapours: tuple[str, ...]) -> Array:
    at = np.array([vapours.index(cas) for cas in points.cas])
    volume, energy, shape = values[3:].reshape(3, len(vapours))
    filling = law.log_filling(
        points.potential,
        points.affinity * np.exp(values[1] + energy[at]),
        np.exp(values[2] + shape[at]),
        points.thermal,
    )
    return np.asarray(values[0] + volume[at] + filling)


def fit(points: Points) -> tuple[Posterior, ...]:
    """The posterior of each law.

    Parameters
    ----------
    points : Points
        At least three; `volume` above zero.

    Notes
    -----
    Mode by least squares, with Laplace's covariance at it. The error is Student's t (3 degrees), its log-likelihood
    written as a square so that one solver serves.

    Validity: vapours below their critical point on microporous carbons. A few points of one vapour leave the carbon's
    priors wide, and so the intervals.
    """
    return tuple(_fit(points, law, SHAPE_SPREAD) for law in LAWS)


def fit_radushkevich(points: Points) -> Posterior:
    """The posterior of Dubinin and Radushkevich's law alone, the exponent two for every vapour; see `fit`.

    Parameters
    ----------
    points : Points
        At least three.
    """
    return _fit(points, RADUSHKEVICH, RADUSHKEVICH.shape[1])


def _fit(points: Points, law: Law, shape_spread: float) -> Posterior:
    vapours = tuple(sorted(set(points.cas)))
    number = len(vapours)
    at = np.array([vapours.index(cas) for cas in points.cas])
    counts = np.bincount(at, minlength=number)
    weight = np.sqrt(np.minimum(1.0, _COUNT / counts))[at]
    measured = np.log(points.volume)
    centre = np.concatenate(
        [[np.log(_VOLUME[0]), np.log(law.energy[0]), np.log(law.shape[0])], np.zeros(3 * number)]
    )
    spread = np.concatenate(
        [
            [_VOLUME[1], law.energy[1], law.shape[1]],
            np.repeat([VOLUME_SPREAD, ENERGY_SPREAD, shape_spread], number),
        ]
    )

    def off(values: Array) -> Array:
        return np.asarray((measured - _log_volume(law, points, values, vapours)) / _ERROR)

    def residuals(values: Array) -> Array:
        return np.concatenate([weight * _heavy(off(values))[0], (values - centre) / spread])

    def slopes(values: Array) -> Array:
        """A vapour's deviation moves its own points as the carbon's parameter moves all: three differences give every column."""
        base = off(values)
        common = np.empty((len(base), 3))
        for parameter in range(3):
            step = np.zeros(len(values))
            step[parameter] = _STEP
            common[:, parameter] = (off(values + step) - base) / _STEP
        common *= (weight * _heavy(base)[1])[:, None]
        own = common[:, :, None] * (at[:, None, None] == np.arange(number))
        return np.vstack([np.hstack([common, own.reshape(len(base), -1)]), np.diag(1.0 / spread)])

    found = least_squares(residuals, centre, jac=slopes, method="trf", max_nfev=400)
    covariance = np.linalg.inv(found.jac.T @ found.jac)
    strength = points.potential / points.affinity
    reach = np.array([np.quantile(strength[at == one], 0.85) for one in range(number)])
    return Posterior(law, vapours, found.x, covariance, reach)


def _heavy(off: Array) -> tuple[Array, Array]:
    """The square root of Student's log-likelihood, doubled, with the sign of `off`; and its slope."""
    root = np.sign(off) * np.sqrt((_FREEDOM + 1.0) * np.log1p(off**2 / _FREEDOM))
    small = np.abs(off) < 1e-6
    slope = (_FREEDOM + 1.0) * off / (_FREEDOM + off**2) / np.where(small, 1.0, root)
    return root, np.where(small, np.sqrt((_FREEDOM + 1.0) / _FREEDOM), slope)
