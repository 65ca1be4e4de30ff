"""What all containers give off in normal storage."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from stillroom.emission.breathing import breathing_rate, expansion_factor
from stillroom.emission.closures import closure_rate, neck_bore, wall_rate
from stillroom.emission.contents import Vapour, is_solid, vapours, volume
from stillroom.emission.dust import handling_dust
from stillroom.emission.model import Release, interval, intervals
from stillroom.emission.openings import opening_rate
from stillroom.emission.solutions import WATER
from stillroom.inventory.model import Container
from stillroom.media.draws import sample

__all__ = ["normal_release"]

Array = NDArray[np.float64]
_TERMS = ("closure", "breathing", "openings", "walls")
_PLASTIC = ("hdpe", "ldpe", "pe", "polyethylene", "pp", "polypropylene", "plastic", "pet")


class _Draws:
    """The uncertain numbers that all containers share; drawn in a fixed order, whatever the inventory."""

    def __init__(self, rng: np.random.Generator, size: int) -> None:
        self.length = {name: sample(row, rng, size) for name, row in intervals()["closure"].items()}
        self.bore = sample(interval("bottle", "bore"), rng, size)
        self.wall = {name: sample(row, rng, size) for name, row in intervals()["wall"].items()}
        self.swing = sample(interval("breathing", "daily_temperature_swing"), rng, size)
        self.fall = sample(interval("breathing", "daily_pressure_fall"), rng, size)
        self.lost = np.minimum(sample(interval("opening", "headspace_lost"), rng, size), 1.0)
        self.seconds = sample(interval("opening", "seconds_open"), rng, size)
        self.dust = sample(interval("dust", "per_opening"), rng, size)


def _mean_of_copies(name: str, count: int, rng: np.random.Generator, size: int) -> Array:
    """Mean factor of `count` independent bottles: a lognormal with the sum's mean and variance."""
    row = interval("bottle", name)
    spread = np.log(row.p95 / row.p05) / (2 * 1.6448536269514722)
    narrowed = np.log1p(np.expm1(spread**2) / count)
    shift = np.log(row.p50) + (spread**2 - narrowed) / 2
    return np.asarray(np.exp(shift + np.sqrt(narrowed) * rng.standard_normal(size)))


def _is_plastic(material: str) -> bool:
    words = material.lower().replace("-", " ").replace("/", " ").split()
    return any(word in _PLASTIC for word in words)


def _terms(
    container: Container,
    vapour: Vapour,
    draws: _Draws,
    *,
    scatter: Array,
    headspace: Array,
    temperature: float,
    pressure: float,
) -> dict[str, Array]:
    """The four rates of one vapour from one container [mol/s]; all zero for an ampoule: fused glass."""
    size = scatter.size
    if container.closure == "sealed ampoule":
        return {term: np.zeros(size) for term in _TERMS}
    p, inside = vapour.pressure * np.ones(size), volume(container)
    neck = neck_bore(inside, bore_reference=draws.bore) / 0.028

    def through(closure: str, factor: Array | float) -> Array:
        return closure_rate(
            p,
            diffusion_length=draws.length[closure] * neck * factor,
            diffusivity=vapour.diffusivity,
            temperature=temperature,
            pressure=pressure,
        )

    expansion = expansion_factor(
        temperature=temperature,
        temperature_swing=draws.swing,
        partial_pressure=p,
        partial_pressure_swing=p * vapour.log_slope * draws.swing,
        pressure=pressure,
        pressure_fall=draws.fall,
    )
    walls = np.zeros(size)
    if _is_plastic(container.material):
        kind = "solution" if vapour.in_water else "solvent"
        walls = wall_rate(p, wall_conductance=draws.wall[kind], volume=inside, temperature=temperature)
    return {
        "closure": through(container.closure, scatter),
        "breathing": breathing_rate(
            p, vapour_space=headspace * inside, expansion=expansion, temperature=temperature
        ),
        "openings": opening_rate(
            p,
            openings_per_week=container.opened_per_week,
            headspace=headspace * inside,
            headspace_lost=draws.lost,
            open_rate=through("open", 1.0),
            seconds_open=draws.seconds,
            temperature=temperature,
        ),
        "walls": walls,
    }


def normal_release(
    containers: Sequence[Container],
    *,
    temperature: float,
    pressure: float,
    rng: np.random.Generator,
    size: int,
) -> Release:
    """What closed containers give off in normal storage, averaged over the week [mol/s], and dust [kg/s].

    Parameters
    ----------
    containers : sequence of Container
        All of them, each with its count.
    temperature, pressure : float
        Of the cabinet's air [K], [Pa].
    rng : numpy.random.Generator
        Source of randomness.
    size : int
        Draws [-].

    Returns
    -------
    Release

    Validity
    --------
    Closures, headspace, swings and openings are intervals of ``data/closures.toml``, most of them from
    memory. One draw of a class holds for all containers of that class. Vapour outside the bottle does not
    hold it back (cautious).

    Notes
    -----
    Sum of independent terms: diffusion through the closure, breathing, openings, permeation of plastic walls.
    """
    draws = _Draws(rng, size)
    rates: dict[str, dict[str, Array]] = {term: {} for term in _TERMS}
    dust: dict[str, Array] = {}
    by_container: dict[str, dict[str, float]] = {}
    notes: dict[str, None] = {}
    missing: dict[str, str] = {}
    for container in containers:
        scatter = _mean_of_copies("scatter", container.count, rng, size)
        headspace = np.minimum(sample(interval("bottle", "headspace"), rng, size), 0.95)
        for vapour in vapours(container, temperature=temperature, notes=notes, missing=missing):
            known = vapour.drawn(rng, size)
            parts = _terms(
                container,
                known,
                draws,
                scatter=scatter,
                headspace=headspace,
                temperature=temperature,
                pressure=pressure,
            )
            for term, rate in parts.items():
                rates[term][vapour.cas] = rates[term].get(vapour.cas, 0.0) + container.count * rate
            total = container.count * np.asarray(sum(parts.values()))
            by_container.setdefault(container.key, {})[vapour.cas] = float(np.median(total))
        if is_solid(container, temperature=temperature) and container.closure != "sealed ampoule":
            for part in container.components:
                if part.substance.cas == WATER:
                    continue
                share = 1.0 if part.mass_fraction is None else part.mass_fraction
                added = container.count * handling_dust(
                    draws.dust, openings_per_week=container.opened_per_week, mass_fraction=share
                )
                dust[part.substance.cas] = dust.get(part.substance.cas, np.zeros(size)) + added
        _say(container, notes)
    names = tuple(rates["closure"])
    by_term = {
        term: np.array([rows[cas] for cas in names]).reshape(len(names), size) for term, rows in rates.items()
    }
    return Release(
        cas=names,
        rate=np.asarray(sum(by_term.values())),
        dust_cas=tuple(dust),
        dust_rate=np.array(list(dust.values())).reshape(len(dust), size),
        by_container=by_container,
        by_term=by_term,
        notes=tuple(notes),
        missing=missing,
    )


def _say(container: Container, notes: dict[str, None]) -> None:
    """Words for what was assumed of this container."""
    said = {
        "Closure not stated: a wide interval is used, from a lined screw cap to a snap cap.": (
            container.closure == "not stated"
        ),
        "A sealed ampoule gives off nothing until it is broken.": container.closure == "sealed ampoule",
        f"{container.name} stands open: it should be closed.": container.closure == "open",
        "Openings not stated: the inventory's default is used; all are counted as in the cabinet.": (
            not container.opened_stated
        ),
        "Material not stated: the wall lets nothing through, as glass or metal.": not container.material,
        "Plastic walls let vapour through: a wide interval, from memory.": _is_plastic(container.material),
    }
    notes.update(dict.fromkeys(words for words, holds in said.items() if holds))
