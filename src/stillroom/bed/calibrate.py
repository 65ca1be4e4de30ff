"""What a test of a sample says of its medium: the medium's own draws, weighed by how well each explains the test."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from stillroom.bed.model import Vapour
from stillroom.bed.stack import Stack
from stillroom.errors import CannotTell, InputError, Problem
from stillroom.media.certificate import Certificate
from stillroom.media.impregnants import reference_molar_mass
from stillroom.media.model import Bed, FilterStack, Interval, Medium
from stillroom.substances import hazards, properties
from stillroom.units import GAS_CONSTANT

__all__ = ["calibrated"]

Array = NDArray[np.float64]

_DRAWS = 40_000
_MODEL = 0.10
"""how far the closed form stands from a real bed, beside all that is drawn; standard deviation of a logarithm, from memory"""
_TIGHT = Interval(1e-9, 1e-9, 1e-9, "", "a sample in a tube")
_ENDS = (0.005, 0.995)  # of what the medium's file allows: a test beyond is contradicted by it, or mistyped
_Z975 = 1.959963984540054


def calibrated(medium: Medium, certificate: Certificate, *, seed: int = 1) -> Medium:
    """The medium with narrower intervals: of its capacity for a family, or of pore volume and energy.

    Parameters
    ----------
    medium : Medium
        As its file tells it.
    certificate : Certificate
        Of a sample of it.
    seed : int
        Of the draws [-].

    Notes
    -----
    Importance sampling: draws of the medium and of all else that is uncertain, by which `Stack` predicts the test; weights
    by a lognormal likelihood of what was measured. Only numbers of the medium are kept, each with its own 5, 50 and 95 %:
    that they hang together is lost, which makes later predictions wider, not narrower.

    Raises
    ------
    InputError
        The medium has no impregnation for the vapour's family, or could not hold what was measured.
    CannotTell
        A property of the vapour is not known.
    """
    vapour = Vapour(
        properties(certificate.cas, temperature=certificate.temperature),
        hazards(certificate.cas).medium_family,
    )
    families = [item.family for item in medium.impregnations]
    if vapour.family and vapour.family not in families:
        what = (
            f"{medium.name} has no impregnation for {vapour.family}, and plain carbon is not credited with it"
        )
        mend = f'Add [[impregnation]] with family = "{vapour.family}" and a wide capacity to its file first.'
        raise InputError(Problem(what, mend, column="cas", found=certificate.cas))
    stack = _sample(medium, certificate, vapour, seed)
    predicted, measured = _compared(stack, certificate)
    deviation = float(np.hypot(certificate.uncertainty / _Z975, _MODEL))
    _check(predicted, measured, deviation, certificate, seed)
    weight = np.exp(-0.5 * (np.log(np.maximum(predicted, 1e-300) / measured) / deviation) ** 2)
    drawn = stack.layers[0].own

    def narrowed(draws: Array) -> Interval:
        low, middle, high = np.quantile(draws, (0.05, 0.5, 0.95), weights=weight, method="inverted_cdf")
        return Interval(float(low), float(middle), float(high), "user", f"calibrated: {certificate.words}")

    if not vapour.family:
        return replace(
            medium,
            micropore_volume=narrowed(drawn.micropore_volume),
            characteristic_energy=narrowed(drawn.characteristic_energy * 1e-3),
        )
    capacity = drawn.capacities[vapour.family]
    impregnations = [
        replace(item, capacity=narrowed(capacity * reference_molar_mass(item.reference_cas)))
        if item.family == vapour.family
        else item
        for item in medium.impregnations
    ]
    return replace(medium, impregnations=tuple(impregnations))


def _sample(medium: Medium, certificate: Certificate, vapour: Vapour, seed: int) -> Stack:
    """The sample, drawn."""
    stack = Stack.draw(
        FilterStack(None, (Bed(medium, certificate.mass, certificate.area),), _TIGHT),
        [vapour],
        flow=certificate.flow,
        temperature=certificate.temperature,
        pressure=certificate.pressure,
        relative_humidity=certificate.relative_humidity,
        rng=np.random.default_rng(seed),
        size=_DRAWS,
    )
    if stack.missing:
        raise CannotTell("; ".join(stack.missing.values()))
    return stack


def _compared(stack: Stack, certificate: Certificate) -> tuple[Array, float]:
    """The test's end as each draw has it, and as it was measured: seconds, or moles held."""
    air = stack.air
    inlet = certificate.inlet_ppm * 1e-6 * air.pressure / (GAS_CONSTANT * air.temperature)
    fed = np.full((1, _DRAWS), inlet)
    time = stack.time_to(certificate.ends_at, fed)
    if certificate.time is not None:
        return time[0], certificate.time
    assert certificate.held_g is not None
    return stack.held_at(time, fed)[0], certificate.held_g / float(stack.arrays.molar_mass[0, 0])


def _check(predicted: Array, measured: float, deviation: float, certificate: Certificate, seed: int) -> None:
    noise = np.exp(deviation * np.random.default_rng(seed).standard_normal(predicted.size))
    low, high = np.quantile(predicted * noise, _ENDS)
    if not low <= measured <= high:
        time = certificate.time is not None
        unit, factor = ("min", 1.0 / 60.0) if time else ("g", (certificate.held_g or 0.0) / measured)
        what = f"the medium's file allows {low * factor:.3g} to {high * factor:.3g} {unit} in that test"
        mend = "Look for a wrong unit; or, if the test is right, widen the medium's intervals first."
        key = "time_min" if time else "held_g"
        raise InputError(Problem(what, mend, column=key, found=f"{measured * factor:.3g}"))
