"""``python -m benchmarks.readings``: do readings from a hidden truth bring the truth back?

Simulation-based calibration (Talts, Betancourt, Simpson, Vehtari & Gelman 2018, arXiv:1804.06788): the truth is a draw of the
prior that the posterior never sees (another seed), readings are simulated from it with errors of the instrument and
of the model, and the 90 % interval of the remaining life must hold the truth in about 90 % of the cabinets. The
error of a reading is simulated as e^η and ε apart (Rocke & Lorenzato 1995), not by the likelihood's own scale. Cabinets are invented.
"""

from __future__ import annotations

import argparse
import datetime
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from stillroom import assessment
from stillroom.assessment.points import drawn_again, more_bypass
from stillroom.assessment.result import Assessment
from stillroom.cabinet.load import parse_cabinet, shipped_tables
from stillroom.inventory.model import Component, Container, Inventory
from stillroom.monitoring.expected import draw_nuisance, error_of
from stillroom.monitoring.judge import interval
from stillroom.monitoring.readings import Instrument, Reading, Response
from stillroom.room.load import parse_room
from stillroom.services.reading import Asked, air_of, remaining, settle
from stillroom.substances import resolve
from stillroom.units import Quantity

MAX_AGE = 3650
_TRIES = 10
INSTALLED = datetime.date(2026, 1, 1)
LIQUIDS = {  # CAS number: an invented response factor, or None where the manual has none
    "108-88-3": 0.5,
    "1330-20-7": 0.45,
    "141-78-6": 4.0,
    "67-64-1": 1.1,
    "78-93-3": 0.9,
    "110-82-7": 1.4,
    "109-99-9": None,
    "64-17-5": None,
    "67-63-0": 5.0,
    "108-10-1": 0.9,
    "142-82-5": 2.5,
}
HELD = ("108-88-3", "1330-20-7", "108-10-1", "142-82-5")
CLOSURES = (
    "screw cap with liner",
    "screw cap without liner",
    "ground-glass stopper",
    "snap cap",
    "vented cap",
)


@dataclass(frozen=True)
class Watched:
    """An invented cabinet, its assessment, and when and how it is read."""

    asked: Asked
    result: Assessment
    layout: tuple[Reading, ...]
    today: datetime.date


def cabinets(count: int, *, seed: int, draws: int = 1000, sound: bool = False) -> Iterator[Watched]:
    """`count` cabinets whose life is settled by physics, not by the age clock; early and late in it.

    With `sound`, cabinets in which a by-pass can be seen: well-held vapours, a filter changed 5 to 60 days ago (when
    seals are disturbed), a ppb-range detector; what is expected in the exhaust is under a third of what a by-pass of
    5 % would let through, and that is above the detection limit. Once vapours pass the beds, nobody can see one.
    """
    number = made = 0
    while made < count:
        number += 1
        rng = np.random.default_rng([seed, number])
        asked = _asked(rng, seed=int(rng.integers(1, 10**6)), draws=draws, sound=sound)
        result = assessment.assess(asked.inventory, asked.cabinet, asked.room, seed=asked.seed, draws=draws)
        middle, high = np.quantile(result.life, (0.5, 0.95), method="nearest")
        if middle < 60.0 or not result.staying.containers or (high > 0.999 * MAX_AGE and not sound):
            continue
        age = int(rng.uniform(5.0, 60.0)) if sound else int(middle * rng.uniform(0.1, 0.9))
        visits = sorted(
            {max(1, int(age * share)) for share in ((1.0,) if rng.random() < 0.5 else (0.5, 1.0))}
        )
        watched = Watched(
            asked, result, _layout(visits, rng, sound=sound), INSTALLED + datetime.timedelta(days=age)
        )
        if sound and not _would_show(watched):
            continue
        made += 1
        yield watched


def _would_show(watched: Watched) -> bool:
    """Whether a by-pass of 5 % would stand out in the exhaust, by the medians of what is expected."""
    case, layout = watched.result.staying, watched.layout
    vapours, inlet = drawn_again(case)
    nuisance = draw_nuisance(layout, vapours.cas, rng=np.random.default_rng(1), size=vapours.size, copies=1)
    shown = np.median(nuisance.shown(air_of(case, vapours, inlet, layout, INSTALLED)[0]), axis=(1, 2))
    by_point = {reading.point: float(value) for reading, value in zip(layout, shown, strict=True)}
    leak = 0.05 * by_point["cabinet"]
    return leak > layout[0].limit_ppm and by_point["exhaust"] < leak / 3.0


def _asked(rng: np.random.Generator, *, seed: int, draws: int, sound: bool) -> Asked:
    rows = []
    stored = rng.choice(
        HELD if sound else list(LIQUIDS), size=int(rng.integers(2, 4 if sound else 6)), replace=False
    )
    for row, cas in enumerate(stored, 1):
        found = resolve(cas=str(cas)).substance
        assert found is not None
        rows.append(
            Container(
                f"r{row}",
                row,
                found.name,
                str(cas),
                (Component(found, 1.0),),
                Quantity(float(rng.choice([0.5e-3, 1e-3, 2.5e-3])), "volume"),
                int(rng.integers(1, 5)),
                "liquid",
                closure=str(rng.choice(CLOSURES)),  # type: ignore[arg-type]
            )
        )
    marker = str(rng.choice([row.cas_written for row in rows]))
    tables = shipped_tables("full-height")
    mass = float(np.exp(rng.uniform(np.log(6.0 if sound else 1.5), np.log(12.0))))
    bed = {"medium": "coconut", "mass_kg": mass, "area_m2": 0.3}
    tables["filters"]["bed"] = [bed, dict(bed)]
    tables["cabinet"]["max_filter_age_days"] = MAX_AGE
    background = {
        "cas": "108-88-3",
        "mg_m3": float(np.exp(rng.uniform(np.log(0.02), 0.0))),
        "uncertainty_factor": 3.0,
    }
    room = parse_room(
        {
            "room": {"name": "invented", "volume_m3": 80, "air_changes_per_h": float(rng.uniform(3, 8))},
            "background": [background],
            "rules": {"marker_cas": marker},
        }
    )
    inventory = Inventory(tuple(rows), "invented.csv", "0" * 64, {})
    return Asked(inventory, parse_cabinet(tables), room, INSTALLED, seed=seed, draws=draws)


def _layout(visits: list[int], rng: np.random.Generator, *, sound: bool) -> tuple[Reading, ...]:
    """All four points on each visit, with a ppb-range detector or, in a third of the cabinets, an ordinary one."""
    limit = 0.1 if rng.random() < 1 / 3 and not sound else 0.01
    days = [INSTALLED + datetime.timedelta(days=day) for day in visits]
    instrument = Instrument(
        key="pid",
        name="invented detector",
        detection_limit_ppm=limit,
        responses={cas: Response(factor) for cas, factor in LIQUIDS.items() if factor},
        calibrated=(days[0] - datetime.timedelta(days=int(rng.integers(1, 120))),),
    )
    points = ("room", "cabinet", "between beds", "exhaust")
    return tuple(Reading(point, day, instrument) for day in days for point in points)  # type: ignore[arg-type]


def truth_of(
    watched: Watched, *, seed: int, bypass: float | None = None
) -> tuple[float, tuple[Reading, ...]] | None:
    """The life [days] of one draw that the posterior never sees, and readings made from it.

    Another seed that gives another list of what may stay makes another cabinet, and the next seed is tried; None where
    none of them gives the same list.
    """
    asked, rng = watched.asked, np.random.default_rng(seed)
    for number in range(_TRIES):
        own = 10**6 + 1000 * number + seed
        other = assessment.assess(asked.inventory, asked.cabinet, asked.room, seed=own, draws=200)
        if other.staying.containers == watched.result.staying.containers:
            break
    else:
        return None
    vapours, inlet = drawn_again(other.staying)
    if bypass is not None:
        vapours = more_bypass(vapours, np.full(vapours.size, bypass))
    air, _ = air_of(other.staying, vapours, inlet, watched.layout, INSTALLED)
    nuisance = draw_nuisance(watched.layout, vapours.cas, rng=rng, size=1, copies=1)
    shown = nuisance.shown(air[:, :, :1])[:, 0, 0]
    readings = []
    for reading, value in zip(watched.layout, shown, strict=True):
        relative, additive = error_of(reading)
        read = value * np.exp(relative * rng.standard_normal()) + additive * rng.standard_normal()
        readings.append(replace(reading, value_ppm=float(read)))
    return float(other.life[0]), tuple(readings)


@dataclass(frozen=True)
class Outcome:
    """What one cabinet's readings led to."""

    covered: bool
    rank: float
    """share of the weight on lives shorter than the true one [-]: uniform where all is right"""
    consistent: bool
    first: str
    effective: float
    exponent: float
    width_ratio: float


def run(watched: Watched, *, seed: int, bypass: float | None = None, repeats: int = 199) -> Outcome | None:
    """Simulate, weigh, and compare with the truth."""
    made = truth_of(watched, seed=seed, bypass=bypass)
    if made is None:
        return None
    life, readings = made
    result, answer = settle(watched.asked, watched.result, readings, repeats=repeats)
    before = interval(
        remaining(watched.result, watched.asked, watched.today), np.ones(watched.result.case.draws)
    )
    after = interval(remaining(result, watched.asked, watched.today), answer.weights)
    first = answer.fit.causes[0].cause.key if answer.fit.causes else ""
    below = float(answer.weights[result.life < life].sum())
    level = float(answer.weights[result.life == life].sum())
    left = max(life - (watched.today - INSTALLED).days, 0.0)
    return Outcome(
        covered=after.p05 <= left <= after.p95,
        rank=below + level * float(np.random.default_rng(seed).random()),
        consistent=answer.fit.consistent,
        first=first,
        effective=answer.effective,
        exponent=answer.exponent,
        width_ratio=(after.p95 - after.p05) / max(before.p95 - before.p05, 1e-9),
    )


def main() -> None:
    """Coverage, false alarms and hidden by-pass, as printed figures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--cabinets", type=int, default=200)
    parser.add_argument("--bypassed", type=int, default=100)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    sound = [
        found
        for number, watched in enumerate(cabinets(asked.cabinets, seed=asked.seed))
        if (found := run(watched, seed=number)) is not None
    ]
    rng = np.random.default_rng(asked.seed)
    leaking, tight = [], []
    for number, watched in enumerate(cabinets(asked.bypassed, seed=asked.seed + 1, sound=True)):
        for into, share in ((leaking, float(rng.uniform(0.05, 0.2))), (tight, None)):
            found = run(watched, seed=number, bypass=share)
            if found is not None:
                into.append(found)
    report(sound, leaking, tight)


def report(sound: list[Outcome], leaking: list[Outcome], tight: list[Outcome]) -> None:
    """Print the figures."""

    def share(items: list[bool]) -> str:
        return f"{sum(items)} of {len(items)} ({100 * np.mean(items):.0f} %)" if items else "none"

    if sound:
        ranks = np.histogram([each.rank for each in sound], np.linspace(0, 1, 6))[0]
        sizes = np.quantile([each.effective for each in sound], (0.05, 0.5))
        narrower = [each.covered for each in sound if each.width_ratio < 0.7]
        print("as assessed, early and late in life")
        print(f"  90 % interval holds the truth     {share([each.covered for each in sound])}")
        print(f"    where it became < 0.7 as wide   {share(narrower)}")
        print(f"  whole life between ranks 5, 95 %  {share([0.05 <= each.rank <= 0.95 for each in sound])}")
        print(f"  ranks in fifths                   {ranks}")
        print(f"  false alarms                      {share([not each.consistent for each in sound])}")
        print(f"  median width after over before    {np.median([each.width_ratio for each in sound]):.2f}")
        print(f"  effective draws, 5 and 50 %       {sizes.round()}")
        print(f"  tempered                          {share([each.exponent < 1 for each in sound])}")
    if leaking:
        called = [each for each in leaking if not each.consistent]
        print("by-passed seal, 5 to 20 %")
        print(f"  called inconsistent               {share([not each.consistent for each in leaking])}")
        print(f"  by-pass named first               {share([each.first == 'by-pass' for each in called])}")
        print(f"  the same with a tight seal        {share([not each.consistent for each in tight])}")


if __name__ == "__main__":
    main()
