"""What an instrument would show, draw by draw, with everything about it that is not known well."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from stillroom.media.model import Interval
from stillroom.monitoring.instruments import USUAL_RESPONSE, visibility
from stillroom.monitoring.measurement import BLANKS, value_at
from stillroom.monitoring.readings import Instrument, Point, Reading
from stillroom.sources import Sourced
from stillroom.substances.properties import ionisation_energy

__all__ = [
    "DISCREPANCY",
    "WEAK_RESPONSE",
    "Discrepancy",
    "Expectation",
    "Nuisance",
    "draw_nuisance",
    "error_of",
    "response_interval",
    "simulate",
]

Array = NDArray[np.float64]
_Key = TypeVar("_Key")
_Z95 = 1.6448536269514722  # standard normal deviate of 95 %
_WEAK = 0.1  # nearer to the lamp than this the response is weak [eV]
_MONTH = 30.0  # [days]

WEAK_RESPONSE = Interval(
    0.5, 3.0, 30.0, "common-practice", "near the lamp's energy, or perhaps not seen at all"
)
"""Response factors where the ionisation energy is within 0.1 eV of the lamp, or not known [-]: assumption."""


@dataclass(frozen=True, slots=True)
class Discrepancy:
    """What the model leaves out at a point, as relative standard errors [-]."""

    lasting: float
    """the same in all readings at that point: mixing, the shape of the front"""
    momentary: float
    """of one reading: doors, the time of day, the room's use"""


DISCREPANCY: dict[Point, Discrepancy] = {
    "cabinet": Discrepancy(0.2, 0.25),
    "room": Discrepancy(0.2, 0.35),
    "between beds": Discrepancy(0.4, 0.3),
    "exhaust": Discrepancy(0.4, 0.3),
}
"""Assumption, no source: behind a bed 90 % within a factor of 2.3, elsewhere within 1.7 to 1.9."""


@dataclass(frozen=True, slots=True, eq=False)
class Expectation:
    """What the air holds at the place and time of each reading; arrays are (n_r, n_v, size) [ppm]."""

    cas: tuple[str, ...]
    total: Array
    stored: Array
    """the part that the containers gave off"""
    bypassed: Array
    """the total with a leaking seal, another share of by-pass in each draw"""
    spent: Array
    """the total with less carbon at work, another share in each draw"""
    returned: float = 0.1
    """cabinet's flow over the room's ventilation [-]: what passes the filter comes back diluted so much"""


@dataclass(frozen=True, slots=True, eq=False)
class Nuisance:
    """Response factors, calibration errors and lasting discrepancies, `copies` times for each draw."""

    inverse: dict[str, Array]
    """instrument's key → ppm shown for a ppm of each vapour, (copies, n_v, size)"""
    factor: Array
    """gain and lasting discrepancy of each reading, (n_r, copies, size)"""
    keys: tuple[str, ...]
    """the instrument of each reading"""

    def shown(self, air: Array, extra: Array | float = 0.0) -> Array:
        """What the instruments would show but for the error of the moment, (n_r, copies, size) [ppm].

        Parameters
        ----------
        air : ndarray, shape (n_r, n_v, size)
            [ppm] of each vapour.
        extra : ndarray or float, broadcasts with (n_r, copies, size)
            Shown besides [ppm].
        """
        rows = [np.einsum("vs,kvs->ks", air[j], self.inverse[key]) for j, key in enumerate(self.keys)]
        return np.asarray((np.array(rows).reshape(self.factor.shape) + extra) * self.factor)


@cache
def response_interval(lamp_eV: float, cas: str) -> tuple[Interval | None, float]:
    """Response factor of a vapour without a published one [-], and the probability that the lamp sees it [-].

    Parameters
    ----------
    lamp_eV : float
        Lamp energy [eV].
    cas : str
        CAS number.

    Notes
    -----
    None and 0 where the lamp is blind; `USUAL_RESPONSE` where it sees well; `WEAK_RESPONSE` near its energy; and
    that with even odds where it cannot be told whether the lamp sees it.
    """
    sees = visibility(cas, limit_ppm=None, lamp_eV=lamp_eV).sees
    if sees is False:
        return None, 0.0
    energy = ionisation_energy(cas)
    if sees is None or not isinstance(energy, Sourced):
        return WEAK_RESPONSE, 0.5
    return (WEAK_RESPONSE if lamp_eV - energy.value < _WEAK else USUAL_RESPONSE), 1.0


def draw_nuisance(
    readings: Sequence[Reading],
    cas: Sequence[str],
    *,
    rng: np.random.Generator,
    size: int,
    copies: int,
) -> Nuisance:
    """Draw what the readings share and nobody asks for.

    Parameters
    ----------
    readings : sequence of Reading
    cas : sequence of str
        Vapours in the order of the expectation.
    rng : numpy.random.Generator
    size : int
        Draws of the assessment [-].
    copies : int
        For each of them [-].

    Notes
    -----
    A vapour's response has one deviate for all instruments with the same lamp. The gain has one deviate from one
    calibration to the next, √(calibration² + (drift · months)²) wide; a discrepancy has one for each point.
    """
    shape = (copies, size)
    deviates: dict[tuple[float, str], tuple[Array, Array]] = {}
    inverse: dict[str, Array] = {}
    for reading in readings:
        instrument = reading.instrument
        if instrument.key not in inverse:
            rows = [_inverse(instrument, name, deviates, rng, shape) for name in cas]
            inverse[instrument.key] = np.array(rows).reshape(len(cas), *shape).transpose(1, 0, 2)
    gains: dict[tuple[str, datetime.date | None], Array] = {}
    lasting: dict[tuple[str, int], Array] = {}
    factor = np.empty((len(readings), *shape))
    for j, reading in enumerate(readings):
        since = reading.instrument.last_calibrated(reading.on)
        gain = _kept(gains, (reading.instrument.key, since), rng, shape)
        place = _kept(lasting, (reading.point, reading.bed_number), rng, shape)
        width = DISCREPANCY[reading.point].lasting
        factor[j] = np.exp(_gain_width(reading, since) * gain + width * place)
    return Nuisance(inverse, factor, tuple(reading.instrument.key for reading in readings))


def _kept(known: dict[_Key, Array], key: _Key, rng: np.random.Generator, shape: tuple[int, int]) -> Array:
    if key not in known:
        known[key] = rng.standard_normal(shape)
    return known[key]


def _gain_width(reading: Reading, since: datetime.date | None) -> float:
    errors = reading.instrument.errors
    if since is None:
        return errors.never_calibrated
    months = (reading.on - since).days / _MONTH
    return float(np.hypot(errors.calibration, errors.drift_per_month * months))


def _inverse(
    instrument: Instrument,
    cas: str,
    deviates: dict[tuple[float, str], tuple[Array, Array]],
    rng: np.random.Generator,
    shape: tuple[int, int],
) -> Array:
    """ppm shown for a ppm of one vapour, (copies, size) [-]."""
    if instrument.target_cas:
        return np.full(shape, float(cas == instrument.target_cas))
    key = (instrument.lamp_eV, cas)
    if key not in deviates:
        deviates[key] = (rng.standard_normal(shape), rng.random(shape))
    deviate, chance = deviates[key]
    known = instrument.responses.get(cas)
    if known is not None:
        return np.asarray(np.exp(-deviate * np.log(known.within) / _Z95) / known.factor)
    interval, seen = response_interval(instrument.lamp_eV, cas)
    if interval is None:
        return np.zeros(shape)
    width = np.where(deviate < 0.0, np.log(interval.p50 / interval.p05), np.log(interval.p95 / interval.p50))
    return np.asarray(np.where(chance < seen, np.exp(-deviate * width / _Z95) / interval.p50, 0.0))


def error_of(reading: Reading) -> tuple[float, float]:
    """The error of one reading at the moment: relative [-], and near zero [ppm].

    Parameters
    ----------
    reading : Reading
    """
    errors = reading.instrument.errors
    blank = reading.limit_ppm / BLANKS
    zero = blank if errors.zero_ppm is None else errors.zero_ppm
    relative = np.hypot(errors.repeatability, DISCREPANCY[reading.point].momentary)
    return float(relative), float(np.hypot(blank, zero))


def simulate(scaled: Array, reading: Reading, rng: np.random.Generator) -> Array:
    """Readings that could have been taken, not cut at the detection limit, in the shape of `scaled` [ppm].

    Parameters
    ----------
    scaled : ndarray
        What the instrument would show without the error of the moment, on the scale of `measurement.on_scale` [-].
    reading : Reading
    rng : numpy.random.Generator
    """
    relative, additive = error_of(reading)
    return value_at(scaled + rng.standard_normal(scaled.shape), relative=relative, additive=additive)
