"""What is said of a medium that nobody measured: its class or certificate alone, as the laws take it."""

from __future__ import annotations

import numpy as np

from stillroom.media.draws import Z95
from stillroom.media.fitting.hierarchical import Posterior
from stillroom.media.fitting.laws import LAWS, Law
from stillroom.media.model import Interval, Medium

__all__ = ["prior"]

_USUAL_ENERGY = 20.0
"""E0 about which the laws' own medians stand [kJ/mol]."""


def prior(medium: Medium) -> tuple[Posterior, ...]:
    """The laws with a medium's own intervals of pore volume and energy, and no vapour measured.

    Parameters
    ----------
    medium : Medium
        Shipped, or of a user's file.

    Notes
    -----
    Logarithms are taken as normal, with the interval's median and the wider of its two halves. A law's energy is scaled as the
    medium's is to 20 kJ/mol; its shape keeps the prior of carbons at large.
    """
    return tuple(_posterior(medium, law) for law in LAWS)


def _posterior(medium: Medium, law: Law) -> Posterior:
    volume, energy = _normal(medium.micropore_volume), _normal(medium.characteristic_energy)
    mean = np.array(
        [volume[0], np.log(law.energy[0]) + energy[0] - np.log(_USUAL_ENERGY), np.log(law.shape[0])]
    )
    covariance = np.diag([volume[1] ** 2, energy[1] ** 2, law.shape[1] ** 2])
    return Posterior(law, (), mean, covariance, np.empty(0))


def _normal(interval: Interval) -> tuple[float, float]:
    low, middle, high = np.log([interval.p05, interval.p50, interval.p95])
    return float(middle), float(max(high - middle, middle - low, 1e-6) / Z95)
