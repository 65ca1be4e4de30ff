"""The limit clock: when does what the cabinet adds to its exhaust pass 1 % of a limit in normal storage?"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from stillroom import media
from stillroom.assessment.case import Case, Subject, concentration, limit_in_air
from stillroom.assessment.numbers import cautious_days, cautious_peak, quantile
from stillroom.assessment.result import Clock, Normal
from stillroom.assessment.vapours import Vapours
from stillroom.sources import Sourced
from stillroom.substances.limits import choose, own_mass_concentration
from stillroom.substances.model import Limit
from stillroom.substances.properties import properties as properties_of
from stillroom.units import show

__all__ = [
    "NO_BED",
    "crossing",
    "dust_limit",
    "dust_passed",
    "dust_short_limit",
    "limit_clock",
    "normal_storage",
    "settle_feedback",
]

Array = NDArray[np.float64]
_DAY = 86400.0
NO_BED = "The filter stack holds no adsorbent bed: no vapour is held, and all of it goes back to the room."


def crossing(days: Array, values: Array, threshold: float) -> Array:
    """First time at which each column of `values` passes `threshold`, linear between grid points, (size,) [days].

    Parameters
    ----------
    days : ndarray, shape (n_t,)
        Rising ages, the first zero [days].
    values : ndarray, shape (n_t, size)
        Any measure [-].
    threshold : float
        What is allowed [-].

    Returns
    -------
    ndarray, shape (size,)
        0 where it is passed from the start, infinity where it is not passed on the grid.
    """
    above = values > threshold
    first = np.argmax(above, axis=0)
    column = np.arange(values.shape[1])
    before = np.maximum(first - 1, 0)
    low, high = values[before, column], values[first, column]
    rise = np.where(high > low, high - low, 1.0)
    share = np.clip((threshold - low) / rise, 0.0, 1.0)
    when = days[before] + share * (days[first] - days[before])
    return np.where(above.any(axis=0), np.where(first == 0, 0.0, when), np.inf)


def settle_feedback(vapours: Vapours, *, until_days: float) -> Array:
    """Inlet with what returns through the room, taken at the penetration reached after `until_days`, (n_v, size) [mol/m³].

    Parameters
    ----------
    vapours : Vapours
    until_days : float
        Age at which the penetration is taken [days].

    Notes
    -----
    One step of the fixed point from P = 0, and cautious: the later penetration is the larger.
    """
    first = vapours.inlet(np.zeros_like(vapours.emission))
    through = vapours.stack.exhaust(np.array([until_days * _DAY]), first)[0]
    return vapours.inlet(_ratio(through, first))


def normal_storage(case: Case, vapours: Vapours, days: Array) -> tuple[Normal, Array]:
    """Exhaust, index and room in normal storage; and the inlet that loads the filter, (n_v, size) [mol/m³].

    Parameters
    ----------
    case : Case
    vapours : Vapours
        Drawn release, background and stack.
    days : ndarray, shape (n_t,)
        Ages of the filter [days].
    """
    inlet = settle_feedback(vapours, until_days=case.cabinet.max_age_days)
    exhaust = vapours.stack.exhaust(days * _DAY, inlet)
    penetration = _ratio(exhaust, inlet[None])
    stored = vapours.stored_inlet(penetration)
    allowed, background_allowed = _allowed(case, vapours)
    with np.errstate(divide="ignore"):
        fraction = penetration * stored / allowed[None, :, None]
        unfiltered = vapours.stored_inlet(np.ones_like(vapours.emission)) / allowed[:, None]
        left = penetration[-1] * vapours.background / background_allowed[:, None]
    room = _room_concentration(vapours, penetration) / allowed[None, :, None]
    normal = Normal(
        days=days,
        cas=vapours.cas,
        emission=vapours.emission,
        inlet=inlet,
        fraction=fraction,
        index=fraction.sum(axis=1),
        unfiltered=unfiltered,
        room_fraction=room[int(np.searchsorted(days, case.cabinet.max_age_days))],
        background_fraction=left,
        dust_cas=vapours.dust_cas,
        dust_fraction=_dust_fraction(case, vapours),
        notes=vapours.notes,
        missing=vapours.missing,
    )
    if normal.dust_fraction.size:
        normal = replace(normal, index=normal.index + normal.dust_fraction.sum(axis=0)[None, :])
    return normal, inlet


def limit_clock(case: Case, normal: Normal) -> Clock:
    """The limit clock, governed by the largest contributor to the index when (or if) it runs out."""
    threshold = case.room.rules.criterion_fraction
    days = crossing(normal.days, normal.index, threshold)
    share = np.median(normal.fraction, axis=2)
    governing, words = "", ""
    percent = show(100 * threshold)
    middle = quantile(days, 0.5)
    if share.size and share[-1].max() > 0:
        at = int(np.searchsorted(normal.days, min(middle, case.cabinet.max_age_days)))
        governing = normal.cas[int(np.argmax(share[min(at, len(share) - 1)]))]
    if not np.isfinite(cautious_days(days)):
        peak = cautious_peak(normal.index[-1])
        words = (
            f"What the cabinet adds to its exhaust stays below {percent} % of the limits for {normal.days[-1]:.0f} days "
            f"(95 % of the draws stay below {show(100 * peak)} %)."
        )
        if cautious_peak(normal.unfiltered.sum(axis=0)) < threshold:
            words += " It would do so with no filter at all: in normal storage nothing here needs it."
    else:
        words = f"After this time what the cabinet adds to its exhaust may pass {percent} % of a limit or of the mixture index."
    if normal.cas and not case.cabinet.filters.beds:
        words += f" {NO_BED}"
    return Clock("limit", days, governing, words)


def _ratio(exhaust: Array, inlet: Array) -> Array:
    return np.asarray(np.where(inlet > 0, exhaust / np.where(inlet > 0, inlet, 1.0), 0.0))


def _room_concentration(vapours: Vapours, penetration: Array) -> Array:
    """What the stored containers add to the room's air [mol/m³]."""
    return np.asarray(vapours.stored_inlet(penetration) - (vapours.emission / vapours.flow.cabinet)[None])


def _allowed(case: Case, vapours: Vapours) -> tuple[Array, Array]:
    """Criterion limits of the stored vapours, and of all vapours, (n_v,) [mol/m³]; infinite where there is none."""
    by_cas = {subject.cas: subject for subject in case.subjects}
    stored = np.full(len(vapours.cas), np.inf)
    every = np.full(len(vapours.cas), np.inf)
    for place, cas in enumerate(vapours.cas):
        subject = by_cas.get(cas)
        if subject is not None and subject.criterion is not None:
            stored[place] = every[place] = concentration(subject.criterion, subject, case.room) or np.inf
        elif subject is None:
            limit = choose(cas, lists=case.list_keys, ordering=case.ordering).criterion
            if limit is not None:
                every[place] = (
                    limit_in_air(limit, properties_of(cas, temperature=case.room.temperature), case.room)
                    or np.inf
                )
    return stored, every


def dust_passed(case: Case, size: int) -> Array:
    """Share of a dust that gets through the particulate filter and past its seal, (size,) [-].

    Parameters
    ----------
    case : Case
    size : int
        Draws [-].

    Notes
    -----
    At the most penetrating size, which is cautious. Without a particulate filter all of it passes.
    """
    filters = case.cabinet.filters
    rng = np.random.default_rng(case.seed + 7)
    through = np.ones(size)
    if filters.particulate is not None:
        through = media.sample(media.penetration(filters.particulate), rng, size)
    bypass = media.sample(filters.seal_bypass, rng, size)
    return np.asarray((1.0 - bypass) * through + bypass)


def _dust_fraction(case: Case, vapours: Vapours) -> Array:
    """Dust at the exhaust over its limit in mg/m³, (n_dust, size) [-]."""
    by_cas = {subject.cas: subject for subject in case.subjects}
    passed = dust_passed(case, vapours.size)
    rows = [
        rate * 1e6 / vapours.flow.cabinet * passed / dust_limit(by_cas.get(cas))
        for cas, rate in zip(vapours.dust_cas, vapours.dust, strict=True)
    ]
    return np.array(rows).reshape(len(rows), vapours.size)


def dust_limit(subject: Subject | None) -> float:
    """What dust at the exhaust is judged by [mg/m³ of the substance itself].

    Infinite where there is no limit: the check of limits refuses that substance.
    """
    if subject is None:
        return np.inf
    return _lowest(subject, subject.limits.twa, subject.surrogate, subject.criterion)


def dust_short_limit(subject: Subject | None, *, excursion: float) -> float:
    """What a cloud of dust is judged by over 15 minutes [mg/m³ of the substance itself].

    Parameters
    ----------
    subject : Subject or None
    excursion : float
        Times the 8-hour value where no short-term limit or ceiling is published [-].
    """
    if subject is None:
        return np.inf
    published = _lowest(subject, subject.limits.stel, subject.limits.ceiling)
    return published if np.isfinite(published) else excursion * dust_limit(subject)


def _lowest(subject: Subject, *limits: Limit | None) -> float:
    mass = subject.properties.molar_mass
    known = mass.value if isinstance(mass, Sourced) else None
    values = [
        own_mass_concentration(limit, molar_mass_g_mol=known)
        for limit in limits
        if limit is not None and (limit.unit == "mg/m3" or known is not None)
    ]
    return min(values, default=np.inf)
