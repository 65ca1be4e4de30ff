"""What humidity takes from vapours."""

from __future__ import annotations

import csv
import math
import os
from pathlib import Path

import numpy as np
import pytest

from stillroom.media import humidity, load, sample, scatter, water
from stillroom.media.equilibrium import dubinin

REFERENCE = os.environ.get("STILLROOM_REFERENCE", "")


GENERIC = load("generic")
RT = 8.314462618 * 295.15


def left(cas, *, ppm, relative_humidity, saturation, molar_volume, affinity, size=4000):
    """Draws of the share of the dry loading, at 22 °C on an unspecified carbon [-]."""
    rng = np.random.default_rng(1)
    drawn = water.draw(GENERIC, rng, size)
    energy = (
        affinity
        * 1e3
        * sample(GENERIC.characteristic_energy, rng, size)
        * sample(scatter.ENERGY_FACTOR, rng, size)
    )
    return humidity.loading_left(
        pressure=ppm * 0.101325,
        saturation_pressure=saturation,
        energy=energy,
        temperature=295.15,
        pressure_left=humidity.draw_pressure_left(
            relative_humidity,
            drawn,
            molar_volume=molar_volume,
            work_share=humidity.draw_work_share(cas, rng, size),
        ),
        sites=drawn.on_sites(relative_humidity),
    )


# saturation pressure at 22 °C [Pa], molar volume [cm³/mol], β, from handbook values as in docs/theory/properties.md
TOLUENE = {"cas": "108-88-3", "saturation": 3230.0, "molar_volume": 106.3, "affinity": 1.16}
VINYL_CHLORIDE = {"cas": "75-01-4", "saturation": 358e3, "molar_volume": 68.0, "affinity": 0.62}
ACETONE = {"cas": "67-64-1", "saturation": 26.9e3, "molar_volume": 73.5, "affinity": 0.65}


def test_dry_air_takes_nothing_and_more_humid_air_never_less():
    shares = [np.median(left(**TOLUENE, ppm=10.0, relative_humidity=h)) for h in np.linspace(0.0, 1.0, 21)]
    assert shares[0] == 1.0 and np.all(np.diff(shares) < 0.0) and shares[-1] > 0.0


def test_toluene_below_half_and_at_three_quarters():
    """Owen and others (US EPA) [owen-humidity], 0.4 to 72.8 ppm: negligible below 50 %, decreased by 75 %. “Negligible” lies in
    the drawn range and the middle keeps three quarters; “decreased” is read as a quarter or more."""
    dry = [left(**TOLUENE, ppm=ppm, relative_humidity=0.45) for ppm in (0.4, 72.8)]
    assert all(np.median(share) > 0.75 and np.quantile(share, 0.95) > 0.93 for share in dry)
    assert all(np.median(left(**TOLUENE, ppm=ppm, relative_humidity=0.75)) < 0.75 for ppm in (0.4, 72.8))


def test_strong_vapours_push_water_out_and_traces_do_not():
    shares = [
        np.median(left(**TOLUENE, ppm=ppm, relative_humidity=0.8)) for ppm in (0.1, 10.0, 1000.0, 10_000.0)
    ]
    assert np.all(np.diff(shares) > 0.0) and shares[0] < 0.5 and shares[-1] > 0.75


def test_vinyl_chloride_loses_three_quarters():
    """Stampfer, Weeks, Ettinger (1980) [stampfer-1980]: 10 ppm, 2.0–2.5 mg/g at 15 % and 0.52–0.58 mg/g at 80 %."""
    ratio = left(**VINYL_CHLORIDE, ppm=10.0, relative_humidity=0.8) / left(
        **VINYL_CHLORIDE, ppm=10.0, relative_humidity=0.15
    )
    low, middle, high = np.quantile(ratio, [0.05, 0.5, 0.95])
    assert low < 0.55 / 2.25 < high and middle == pytest.approx(0.55 / 2.25, abs=0.12)


def test_a_liquid_that_mixes_with_water_loses_less():
    same = {key: value for key, value in ACETONE.items() if key != "cas"}
    mixes, unknown = (
        left(cas, **same, ppm=100.0, relative_humidity=0.8) for cas in (ACETONE["cas"], "unknown")
    )
    assert np.median(mixes) > np.median(unknown) + 0.1


def test_those_that_mix_have_a_low_logp():
    """CRC and Syracuse tables through `chemicals`. 2-butanone (0.29, a quarter by weight dissolves) must not be among them."""
    from chemicals import logP

    assert all(logP(cas) < 0.1 for cas in humidity.MIXES_WITH_WATER)
    assert not humidity.MIXES_WITH_WATER & {"78-93-3", "141-78-6", "71-36-3", "108-88-3", "75-09-2"}


# Okazaki, Tamon & Toei 1978, Table 2: benzene with water on one carbon, 303 K: Pa, relative humidity, g/g
BENZENE = (
    (6.0, 0.716, 0.110),
    (65.2, 0.703, 0.269),
    (10.8, 0.882, 0.068),
    (28.3, 0.882, 0.142),
    (80.1, 0.876, 0.220),
)


def test_benzene_beside_water():
    """The carbon's W0, E0 and h_m were fitted to the fourteen points (0.45 cm³/g, 20.5 kJ/mol, 0.60): each within 0.45 in ln,
    their stated fit having 0.25. Dry it would hold more than twice as much at the lowest pressure in the most humid air."""
    p, h, measured = np.array(BENZENE).T
    factor = humidity.pressure_left(water.displacement(h, midpoint=0.60, width=0.08), molar_volume=90.0)

    def held(pressure):
        a = dubinin.potential(pressure=pressure, saturation_pressure=15.9e3, temperature=303.0)
        return 0.45 * 0.868 * dubinin.filled_volume(potential=a, energy=20.5e3, temperature=303.0)

    assert np.all(abs(np.log(held(p * factor) / measured)) < 0.45)
    assert held(p)[2] > 2.0 * measured[2]


@pytest.mark.skipif(not REFERENCE, reason="STILLROOM_REFERENCE does not point to the data")
def test_vapours_beside_water_in_the_published_table():
    """Okazaki, Tamon & Toei 1978: benzene, acetone and methanol with water on two carbons. With the generic medium, all 42
    points lie in the 90 % interval, which is that wide because the carbon is not known; medians of the five pairs within
    0.65, too little for the most."""
    kinds = {"Benzene": (15.9e3, 90.0, 1.0, 0.868, "71-43-2"), "Acetone": (38e3, 74.6, 0.65, 0.779, "67-64-1"), "Methanol": (21.9e3, 41.0, 0.35, 0.782, "67-56-1")}  # fmt: skip
    rng = np.random.default_rng(1)
    size = 4000
    drawn = water.draw(GENERIC, rng, size)
    volume, energy = (
        sample(GENERIC.micropore_volume, rng, size),
        sample(GENERIC.characteristic_energy, rng, size),
    )
    own = {name: (sample(scatter.VOLUME_FACTOR, rng, size), sample(scatter.ENERGY_FACTOR, rng, size), humidity.draw_work_share(kind[4], rng, size)) for name, kind in kinds.items()}  # fmt: skip
    inside, off = [], {}
    with (Path(REFERENCE) / "mixtures_on_carbon.csv").open(encoding="utf-8") as file:
        rows = [row for row in csv.DictReader(file) if row["comp2"] == "Water"]
    for row in rows:
        p_sat, molar_volume, affinity, density, _ = kinds[row["comp1"]]
        more, harder, share = own[row["comp1"]]
        factor = humidity.draw_pressure_left(
            float(row["p2_Pa"]) / 4246.0, drawn, molar_volume=molar_volume, work_share=share
        )
        a = dubinin.potential(
            pressure=float(row["p1_Pa"]) * factor, saturation_pressure=p_sat, temperature=303.0
        )
        held = volume * more * density * dubinin.filled_volume(potential=a, energy=affinity * energy * harder * 1e3, temperature=303.0)  # fmt: skip
        low, middle, high = np.quantile(held, [0.05, 0.5, 0.95])
        measured = float(row["q1_g_per_g"])
        inside.append(low <= measured <= high)
        off.setdefault((row["comp1"], row["adsorbent"]), []).append(np.log(middle / measured))
    assert len(rows) == 42 and np.mean(inside) >= 0.85
    assert all(abs(np.median(errors)) < 0.65 for errors in off.values())


@pytest.mark.skipif(not REFERENCE, reason="STILLROOM_REFERENCE does not point to the data")
def test_water_and_vapour_share_one_pore_volume():
    """In the same table what both fill together, as liquids, is one volume for each carbon: 0.36 and 0.27 cm³/g within 0.06."""
    density = {"Benzene": 0.868, "Acetone": 0.779, "Methanol": 0.782}
    volumes: dict[str, list[float]] = {}
    with (Path(REFERENCE) / "mixtures_on_carbon.csv").open(encoding="utf-8") as file:
        for row in csv.DictReader(file):
            if row["comp2"] == "Water":
                both = float(row["q1_g_per_g"]) / density[row["comp1"]] + float(row["q2_g_per_g"])
                volumes.setdefault(row["adsorbent"], []).append(both)
    means = sorted(np.mean(both) for both in volumes.values())
    assert means == pytest.approx([0.27, 0.36], abs=0.015)
    assert all(np.max(abs(np.array(both) - np.mean(both))) < 0.06 for both in volumes.values())


def test_the_older_share_leaves_nearly_all_in_dry_air_and_much_less_in_humid():
    """Owen and others (US EPA), toluene on granular carbon: negligible below 50 %, decreased by 75 %.
    “Negligible” is read as under 15 % at the middle of our interval (cautious), “decreased” as over 25 %."""
    assert humidity.pores_left(0.45) > 0.85
    assert humidity.pores_left(0.75) < 0.75
    assert humidity.pores_left(0.0) > 0.999


def test_never_grows_with_humidity():
    left = humidity.pores_left(np.linspace(0.0, 1.0, 101))
    assert np.all(np.diff(left) <= 0.0) and left[-1] > 0.0


def test_vinyl_chloride_at_80_percent_lies_in_the_interval():
    """Stampfer, Weeks, Ettinger (1980): 10 ppm, 2.0–2.5 mg/g at 15 % and 0.52–0.58 mg/g at 80 %: a quarter is left.
    It is the worst published; it must lie within the drawn range."""
    drawn = humidity.draw_pores_left(0.80, np.random.default_rng(1), 4000)
    low, high = np.percentile(drawn, [2.5, 97.5])
    assert low < 0.55 / 2.25 < high


@pytest.mark.skipif(not REFERENCE, reason="STILLROOM_REFERENCE does not point to the data")
def test_midpoints_of_water_isotherms_lie_about_ours():
    """Untreated carbons of the published water isotherms that reach 85 % relative humidity and 0.1 g/g: the median
    of the humidity at half their uptake lies in our interval. Magnus's formula for the saturation of water
    (coefficients of Sonntag 1990, from memory)."""
    curves: dict[tuple[str, str, str], list[tuple[float, float]]] = {}
    with (Path(REFERENCE) / "water_on_carbon.csv").open(encoding="utf-8") as file:
        for row in csv.DictReader(file):
            if "HNO3" in row["adsorbent"] or "Molecular Sieve" in row["adsorbent"]:
                continue
            celsius = float(row["temperature_K"]) - 273.15
            saturation = 611.2 * math.exp(17.62 * celsius / (243.12 + celsius))
            key = (row["adsorbent"], row["temperature_K"], row["source"])
            point = (float(row["partial_pressure_Pa"]) / saturation, float(row["loading_g_per_g"]))
            curves.setdefault(key, []).append(point)
    halves = []
    for points in curves.values():
        h, q = np.array(sorted(points)).T
        if h[-1] >= 0.85 and len(h) >= 6 and q[-1] >= 0.1:
            halves.append(np.interp(0.5 * np.interp(0.9, h, q), np.maximum.accumulate(q), h))
    assert len(halves) >= 20
    assert humidity.MIDPOINT.p05 <= np.median(halves) <= humidity.MIDPOINT.p95
    inside = [humidity.MIDPOINT.p05 - 0.1 <= half <= humidity.MIDPOINT.p95 for half in halves]
    assert np.mean(inside) >= 0.75  # oxidised and research carbons among them fill earlier
