"""Draw what a fitted carbon holds: of vapours that were measured, of others, alone and together."""

from __future__ import annotations

import zlib
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from stillroom.media.fitting.hierarchical import (
    ENERGY_SPREAD,
    SHAPE_SPREAD,
    VOLUME_SPREAD,
    Posterior,
)
from stillroom.media.fitting.points import Points

__all__ = ["Curve", "alone", "curves"]

Array = NDArray[np.float64]

DRAWS = 3000
_FREEDOM = 5.0
"""Of Student's t for a vapour that was not measured: a few stand far off [-]."""
_ERROR = 0.05
"""Of the law itself about a true isotherm, in ln [-]."""
_TAIL = 0.20
"""How far a tail that no point reaches may stand off: above by this share of the potential, below towards Henry's law [-]."""
_TO_HENRY = 1.2
"""Of a tail that stands below, the part of the way to the line of Henry's law from the last point on [-]."""
_TAIL_ENERGY = 20.0
"""Width over which it grows [kJ/mol of benzene]."""
_USUAL_REACH = 10.0
"""Potential over affinity up to which carbons at large were measured, for one that was not [kJ/mol]."""
_SHAPES = (0.05, 5.0)


@dataclass(frozen=True, slots=True)
class Curve:
    """Draws of one vapour's parameters, each (n,); `law` counts in `posteriors`."""

    posteriors: tuple[Posterior, ...]
    law: NDArray[np.int64]
    log_volume: Array
    log_energy: Array
    """of β = 1 [ln kJ/mol]"""
    shape: Array
    tail: Array
    """[-]"""
    reach: float
    """potential over affinity up to which this vapour, or else the carbon, was measured [kJ/mol]"""

    def thinned(self, every: int) -> Curve:
        """Every so many of the draws.

        Parameters
        ----------
        every : int
            Step [-].
        """
        return replace(
            self,
            law=self.law[::every],
            log_volume=self.log_volume[::every],
            log_energy=self.log_energy[::every],
            shape=self.shape[::every],
            tail=self.tail[::every],
        )

    def log_held(self, potential: Array, affinity: float, thermal: float) -> Array:
        """ln W [cm³/g] at potentials [kJ/mol] that broadcast against the draws.

        Parameters
        ----------
        potential : ndarray
            Shape (n,) or (m, 1) [kJ/mol].
        affinity, thermal : float
            β [-] and RT [kJ/mol].

        Notes
        -----
        No slope d ln W/d ln p passes one: beyond the reach a draw lies between its law with a smaller potential and Henry's
        law carried on from there.
        """
        width = _TAIL_ENERGY * affinity
        reach = self.reach * affinity
        beyond = np.maximum(potential - reach, 0.0)
        higher = np.minimum(self.tail, 0.0) * width * -np.expm1(-beyond / width)
        found = self._filling(potential + higher, affinity, thermal)
        lower = -np.expm1(-_TO_HENRY * np.maximum(self.tail, 0.0))
        least = self._filling(np.asarray(reach), affinity, thermal) - beyond / thermal
        found = np.where(beyond > 0.0, (1.0 - lower) * found + lower * least, found)
        return np.asarray(found + self.log_volume)

    def _filling(self, potential: Array, affinity: float, thermal: float) -> Array:
        """Each draw's own law at its potentials."""
        potential = np.broadcast_to(potential, np.broadcast_shapes(potential.shape, self.law.shape))
        found = np.empty(potential.shape)
        for number, posterior in enumerate(self.posteriors):
            here = self.law == number
            found[..., here] = posterior.law.log_filling(
                potential[..., here],
                affinity * np.exp(self.log_energy[here]),
                self.shape[here],
                np.asarray(thermal),
            )
        return found


def curves(
    posteriors: tuple[Posterior, ...], vapours: Sequence[str], *, seed: int = 1, draws: int = DRAWS
) -> dict[str, Curve]:
    """Draws of each vapour's parameters, together: a draw is one carbon.

    Parameters
    ----------
    posteriors : tuple of Posterior
        Of one fit.
    vapours : sequence of str
        CAS numbers, measured or not.
    seed, draws : int
        Same seed, same draws; a vapour's own do not hang on which others are asked [-].
    """
    share = np.array([posterior.law.weight for posterior in posteriors])
    law = np.repeat(
        np.arange(len(posteriors)),
        np.diff(np.round(np.r_[0.0, np.cumsum(share) / share.sum()] * draws).astype(int)),
    )
    common = np.random.default_rng([seed, 0])
    values = [
        posterior.mean
        + common.standard_normal((int((law == number).sum()), len(posterior.mean)))
        @ np.linalg.cholesky(posterior.covariance).T
        for number, posterior in enumerate(posteriors)
    ]
    base = np.concatenate([drawn[:, :3] for drawn in values])
    tail = common.standard_normal(draws)
    found = {}
    for cas in vapours:
        own = np.random.default_rng([seed, zlib.crc32(cas.encode())])
        known = posteriors[0].vapours
        if cas in known:
            at = known.index(cas)
            off = np.concatenate(
                [drawn[:, 3:].reshape(len(drawn), 3, len(known))[:, :, at] for drawn in values]
            )
            reach = float(posteriors[0].reach[at])
        else:
            off = own.standard_t(_FREEDOM, (draws, 3)) * [VOLUME_SPREAD, ENERGY_SPREAD, SHAPE_SPREAD]
            reach = float(posteriors[0].reach.max(initial=_USUAL_REACH if not known else 0.0))
        found[cas] = Curve(
            posteriors,
            law,
            base[:, 0] + off[:, 0] + _ERROR * own.standard_t(_FREEDOM, draws),
            base[:, 1] + off[:, 1],
            np.clip(np.exp(base[:, 2] + off[:, 2]), *_SHAPES),
            _TAIL * (0.8 * tail + 0.6 * own.standard_normal(draws)),
            reach,
        )
    return found


def alone(curve: Curve, points: Points) -> Array:
    """Loadings of one vapour by itself at each point, shape (n_points, n_draws) [g/g]."""
    rows = [
        np.exp(curve.log_held(np.asarray(potential), affinity, thermal)) * density
        for potential, affinity, thermal, density in zip(
            points.potential, points.affinity, points.thermal, points.density, strict=True
        )
    ]
    return np.asarray(rows)
