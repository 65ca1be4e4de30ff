"""What a photoionisation detector can see, and what serves where it cannot."""

from __future__ import annotations

from dataclasses import dataclass

from stillroom.errors import InputError, Problem
from stillroom.media.model import Interval
from stillroom.sources import Missing, Sourced
from stillroom.substances.properties import ionisation_energy, is_involatile, saturation_pressure
from stillroom.units import show

__all__ = [
    "HANDHELD",
    "LAMPS",
    "LOW_RANGE",
    "USUAL_RESPONSE",
    "Visibility",
    "all_lamps",
    "check_point",
    "visibility",
]

LAMPS = (10.0, 10.6, 11.7)
"""Lamp energies in use [eV]."""
HANDHELD = Interval(0.05, 0.1, 0.5, "common-practice", "ppm-range instrument, isobutylene equivalent")
"""Detection limit of a ppm-range handheld instrument [ppm as isobutylene]; from memory of common practice."""
LOW_RANGE = Interval(0.001, 0.02, 0.05, "common-practice", "ppb range: 0.001 readable, 0.01–0.05 usable")
"""Detection limit of a ppb-range instrument over drifting room air [ppm as isobutylene]; from memory."""
USUAL_RESPONSE = Interval(0.3, 1.0, 10.0, "common-practice", "factors of most vapours that a lamp sees well")
"""Response factors, ppm of the vapour per ppm as isobutylene [-], for who is willing to assume the usual."""

_UNSURE = 0.05
"""Ionisation energies and lamp lines are not known better than this [eV]."""
_WEAK = 0.1
"""Nearer to the lamp than this, the response is weak [eV]."""
_BEFORE = "between the beds, or in front of the filter where the concentration is higher"
_FAMILY_METHODS = {
    "mercury": "atomic absorption (cold vapour) or a gold film instrument in the exhaust",
    "formaldehyde": "an electrochemical cell or colorimetric tube in the exhaust and between the beds, "
    "or a coated sorbent tube and laboratory analysis",
    "ammonia": "an electrochemical cell or colorimetric tube in the exhaust and between the beds",
    "acid gas": "an electrochemical cell or colorimetric tube for that acid in exhaust and between beds",
    "hydrogen sulphide": "an electrochemical cell or colorimetric tube in the exhaust and between the beds",
}
_FAMILY_OF = {
    "7439-97-6": "mercury",
    "50-00-0": "formaldehyde",
    "7664-41-7": "ammonia",
    "7647-01-0": "acid gas",
    "7783-06-4": "hydrogen sulphide",
}


@dataclass(frozen=True, slots=True)
class Visibility:
    """Can a photoionisation detector with this lamp see the vapour, and the criterion at the exhaust?

    None is "cannot tell"; `words` say why.
    """

    lamp_eV: float
    sees: bool | None
    sees_criterion: bool | None
    words: str


def visibility(
    cas: str,
    *,
    limit_ppm: float | None,
    criterion_fraction: float = 0.01,
    lamp_eV: float,
    detection: Interval = HANDHELD,
    response: Interval | float | None = None,
) -> Visibility:
    """Whether a lamp ionises the vapour, and whether the criterion can be read at the exhaust.

    Parameters
    ----------
    cas : str
        CAS number.
    limit_ppm : float or None
        The limit that the criterion uses [ppm]; None where there is none in ppm.
    criterion_fraction : float
        Fraction of the limit that the exhaust must not pass [-].
    lamp_eV : float
        Lamp energy [eV].
    detection : Interval
        Detection limit at the exhaust [ppm as isobutylene].
    response : Interval or float, optional
        Response factor [-], ppm of the vapour per ppm read as isobutylene. Unknown (None) never gives "yes":
        only "no" where even the most favourable factor does not help. `USUAL_RESPONSE` is a deliberate
        assumption.

    Returns
    -------
    Visibility
        `sees` is None within 0.05 eV of the lamp or without an ionisation energy. `sees_criterion` is True
        where the criterion is above the worst detection limit, False where it is below the median one,
        None between.

    Notes
    -----
    A photon ionises what needs less energy than it brings. Detection limits: common practice, from memory.
    Validity: dry, clean lamp; a mixture's reading is the sum of all that it sees.

    Examples
    --------
    Methanol needs 10.84 eV (NIOSH Pocket Guide): the 10.6 eV lamp is blind to it.

    >>> visibility("67-56-1", limit_ppm=200.0, lamp_eV=10.6).sees
    False
    """
    _check(limit_ppm, criterion_fraction, lamp_eV)
    energy = ionisation_energy(cas)
    sees, words = _sees(energy, lamp_eV)
    if sees is False:
        return Visibility(lamp_eV, False, False, f"{words}; at the exhaust another method serves")
    if limit_ppm is None:
        return Visibility(lamp_eV, sees, None, f"{words}; no limit in ppm to compare with")
    criterion = criterion_fraction * limit_ppm
    weak = isinstance(energy, Sourced) and lamp_eV - energy.value < _WEAK
    factor = None if weak and response is USUAL_RESPONSE else response
    answer, more = _reads(criterion, detection, factor)
    if sees is None and answer:
        answer, more = None, "so whether it reads the criterion cannot be told either"
    return Visibility(lamp_eV, sees, answer, f"{words}; {more}")


def all_lamps(
    cas: str,
    *,
    limit_ppm: float | None,
    criterion_fraction: float = 0.01,
    detection: Interval = HANDHELD,
    response: Interval | float | None = None,
) -> tuple[Visibility, ...]:
    """`visibility` for each of the usual lamps.

    Parameters
    ----------
    cas : str
        CAS number.
    limit_ppm : float or None
        The limit that the criterion uses [ppm].
    criterion_fraction : float
        Fraction of the limit [-].
    detection : Interval
        Detection limit at the exhaust [ppm as isobutylene].
    response : Interval or float, optional
        Response factor [-].
    """
    return tuple(
        visibility(
            cas,
            limit_ppm=limit_ppm,
            criterion_fraction=criterion_fraction,
            lamp_eV=lamp,
            detection=detection,
            response=response,
        )
        for lamp in LAMPS
    )


def _sees(energy: Sourced | Missing, lamp: float) -> tuple[bool | None, str]:
    if isinstance(energy, Missing):
        return None, f"cannot tell, because its ionisation energy is not known here ({energy.reason})"
    margin = lamp - energy.value
    between = f"ionisation energy {energy.value:.2f} eV [{energy.source}], lamp {lamp:.1f} eV"
    if abs(margin) < _UNSURE:
        return None, f"cannot tell, because the two energies are within {_UNSURE} eV: {between}"
    if margin < 0:
        return False, f"not seen: {between}"
    if margin < _WEAK:
        return True, f"seen weakly, within {_WEAK} eV of the lamp: {between}"
    return True, f"seen: {between}"


def _reads(
    criterion: float, detection: Interval, response: Interval | float | None
) -> tuple[bool | None, str]:
    """Whether a concentration [ppm] can be read, and why."""
    shown = f"the criterion at the exhaust is {show(criterion)} ppm"
    if response is None:
        least = detection.p50 * USUAL_RESPONSE.p05
        if criterion < least:
            return False, f"{shown}, below what is read ({show(least)} ppm at best): measure {_BEFORE}"
        factor = criterion / detection.p95
        return None, (
            f"{shown}; cannot tell whether it is read, because the response factor is not given "
            f"(read where that is under {show(factor)})"
        )
    low, middle, high = (
        (response.p05, response.p50, response.p95) if isinstance(response, Interval) else (response,) * 3
    )
    if criterion >= detection.p95 * high:
        return True, f"{shown}, above the detection limit (at worst {show(detection.p95 * high)} ppm)"
    if criterion < detection.p50 * low or criterion < detection.p05 * middle:
        return False, f"{shown}, below the detection limit: measure {_BEFORE}"
    return None, (
        f"{shown}; cannot tell whether it is read, because the detection limit lies between "
        f"{show(detection.p50 * low)} and {show(detection.p95 * high)} ppm: measure {_BEFORE}"
    )


def _check(limit: float | None, fraction: float, lamp: float) -> None:
    problems = []
    if limit is not None and not 0 < limit < float("inf"):
        problems.append(
            Problem("the limit is no concentration in ppm", "Give ppm, or nothing", found=str(limit))
        )
    if not 0 < fraction <= 1:
        problems.append(
            Problem(
                "the criterion's fraction must lie between 0 and 1", "Write 0.01 for 1 %", found=str(fraction)
            )
        )
    if not 8 < lamp < 13:
        problems.append(Problem("no such lamp", "Use 10.0, 10.6 or 11.7 eV", found=str(lamp)))
    if problems:
        raise InputError(problems)


def check_point(
    cas: str,
    *,
    family: str = "",
    phase: str = "",
    limit_ppm: float | None = None,
    criterion_fraction: float = 0.01,
    lamp_eV: float = 10.6,
    detection: Interval = HANDHELD,
    response: Interval | float | None = None,
) -> str:
    """Where and how this substance is checked on a visit, in words for the record.

    Parameters
    ----------
    cas : str
        CAS number.
    family : str
        Family of the impregnation that holds it, or empty.
    phase : str
        "solid", "liquid", "gas", or empty where it is not known; a solid may send dust.
    limit_ppm : float or None
        The limit that the criterion uses [ppm].
    criterion_fraction : float
        Fraction of the limit [-].
    lamp_eV : float
        Lamp energy of the site's photoionisation detector [eV].
    detection : Interval
        Its detection limit at the exhaust [ppm as isobutylene].
    response : Interval or float, optional
        Response factor [-].
    """
    pressure = saturation_pressure(cas, temperature=295.15)
    if is_involatile(pressure):
        return "No vapour to measure. Leak test of particulate filter and seal by photometer; look for dust."
    method = _FAMILY_METHODS.get(family or _FAMILY_OF.get(cas, ""))
    if method is not None:
        return f"Measure by {method}."
    dust = " Leak test of the particulate filter and its seal by photometer." if phase == "solid" else ""
    seen = visibility(
        cas,
        limit_ppm=limit_ppm,
        criterion_fraction=criterion_fraction,
        lamp_eV=lamp_eV,
        detection=detection,
        response=response,
    )
    detector = f"Photoionisation detector, {lamp_eV:.1f} eV lamp"
    if seen.sees and seen.sees_criterion:
        return f"{detector}, in the exhaust against the room's own reading, and {_BEFORE}.{dust}"
    laboratory = "in the exhaust a sensitive colorimetric tube, or a sorbent tube and laboratory analysis"
    if seen.sees:
        return f"{detector}, {_BEFORE}; {laboratory}.{dust}"
    blind = "Not for" if seen.sees is False else "Do not count on"
    reason = _sees(ionisation_energy(cas), lamp_eV)[1]
    return f"{blind} the {lamp_eV:.1f} eV lamp ({reason}): {laboratory}, and the same {_BEFORE}.{dust}"
