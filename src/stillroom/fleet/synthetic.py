"""Invented cabinets for tests, benchmarks and the demo: laboratories that do not exist, with what such laboratories keep."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import numpy as np

from stillroom.errors import InputError, Problem

__all__ = ["make"]

# What a kind of laboratory draws its bottles from: (name, CAS, state, strength, usual sizes). Invented mixes of everyday chemicals.
_SOLVENTS = (
    ("Ethanol", "64-17-5", "liquid", "96 %", ("1 L", "2.5 L")),
    ("Acetone", "67-64-1", "liquid", "", ("500 mL", "1 L", "2.5 L")),
    ("2-Propanol", "67-63-0", "liquid", "", ("1 L", "2.5 L")),
    ("Methanol", "67-56-1", "liquid", "", ("1 L", "2.5 L")),
    ("Toluene", "108-88-3", "liquid", "", ("500 mL", "1 L", "2.5 L")),
    ("Xylene", "1330-20-7", "liquid", "", ("1 L", "2.5 L")),
    ("Ethyl acetate", "141-78-6", "liquid", "", ("1 L", "2.5 L")),
    ("n-Heptane", "142-82-5", "liquid", "", ("1 L", "2.5 L")),
    ("n-Hexane", "110-54-3", "liquid", "", ("1 L",)),
    ("Cyclohexane", "110-82-7", "liquid", "", ("1 L",)),
    ("Dichloromethane", "75-09-2", "liquid", "", ("500 mL", "1 L")),
    ("Chloroform", "67-66-3", "liquid", "", ("250 mL", "500 mL")),
    ("Tetrahydrofuran", "109-99-9", "liquid", "", ("500 mL", "1 L")),
    ("Acetonitrile", "75-05-8", "liquid", "", ("1 L", "2.5 L")),
    ("N,N-Dimethylformamide", "68-12-2", "liquid", "", ("500 mL", "1 L")),
    ("2-Butanone", "78-93-3", "liquid", "", ("500 mL", "1 L")),
    ("1-Butanol", "71-36-3", "liquid", "", ("500 mL", "1 L")),
)
_REAGENTS = (
    ("Acetic acid", "64-19-7", "liquid", "10 %", ("500 mL", "1 L")),
    ("Sulfuric acid", "7664-93-9", "liquid", "10 %", ("500 mL", "1 L")),
    ("Hydrochloric acid", "7647-01-0", "liquid", "10 %", ("500 mL", "1 L")),
    ("Hydrogen peroxide", "7722-84-1", "liquid", "30 %", ("250 mL", "500 mL")),
    ("Formaldehyde solution", "50-00-0", "liquid", "37 %", ("100 mL",)),
    ("Phenol", "108-95-2", "solid", "", ("100 g", "250 g")),
    ("Aniline", "62-53-3", "liquid", "", ("100 mL", "250 mL")),
    ("Pyridine", "110-86-1", "liquid", "", ("100 mL", "250 mL")),
    ("Naphthalene", "91-20-3", "solid", "", ("100 g",)),
)
_SALTS = (
    ("Sodium chloride", "7647-14-5", "solid", "", ("500 g", "1 kg")),
    ("Sodium hydroxide", "1310-73-2", "solid", "", ("500 g",)),
    ("Citric acid", "77-92-9", "solid", "", ("500 g", "1 kg")),
    ("Calcium carbonate", "471-34-1", "solid", "", ("500 g", "1 kg")),
    ("Copper sulfate pentahydrate", "7758-99-8", "solid", "", ("250 g", "500 g")),
    ("Potassium permanganate", "7722-64-7", "solid", "", ("100 g",)),
    ("Sucrose", "57-50-1", "solid", "", ("500 g", "1 kg")),
)
_KINDS = {
    "teaching laboratory": (0.45, 0.25, 0.30),
    "synthesis laboratory": (0.70, 0.20, 0.10),
    "histology": (0.60, 0.30, 0.10),
    "water analysis": (0.30, 0.35, 0.35),
    "workshop": (0.75, 0.10, 0.15),
}
_CABINET = """# Invented: no maker builds it.
[cabinet]
name = "{name} (invented)"
width_m = {width:g}
depth_m = 0.6
height_m = 1.95
air_volume_m3 = {air:g}
flow_m3_h = {flow:g}
max_filter_age_days = {age:g}

{compartments}
[filters]
particulate = "H14"
[[filters.bed]]
medium = "generic"
mass_kg = {mass:g}
area_m2 = 0.40
"""
_SHELF = """[[compartment.shelf]]
key = "{key}"
height_m = {height:g}
width_m = {width:g}
depth_m = 0.48
clear_height_m = 0.36
max_load_kg = 60
trays = 4
tray_volume_l = 6.0
"""
_ROOM = """# Invented: no such room.
[room]
name = "{name} (invented)"
volume_m3 = {volume:g}
air_changes_per_h = {changes:g}
temperature_C = {temperature:g}
relative_humidity = {humidity:g}

[[background]]
cas = "108-88-3"
mg_m3 = {background:g}
uncertainty_factor = 2.5
source = "invented"

[limits]
lists = ["uk-eh40", "osha-z1", "osha-z2", "osha-substance", "niosh-rel"]
ordering = "first"
"""


def make(folder: Path | str, *, count: int, seed: int) -> list[Path]:
    """Write `count` invented cabinets into `folder`, a folder each; gives those folders.

    Parameters
    ----------
    folder : Path or str
        Made where it is not there; must hold nothing.
    count : int
        1 … 100 000 [-].
    seed : int
        Same seed, same files [-].

    Raises
    ------
    InputError
        The folder holds something already, or the count is out of range.
    """
    root = Path(folder)
    if not 1 <= count <= 100_000:
        raise InputError(
            Problem("is not 1 … 100 000", "Choose another count.", column="count", found=str(count))
        )
    if root.exists() and any(root.iterdir()):
        raise InputError(Problem("holds something already", "Choose a new folder.", file=str(root)))
    rng = np.random.default_rng(seed)
    made = []
    for number in range(1, count + 1):
        place = root / f"{number:06d}"
        place.mkdir(parents=True)
        kind = list(_KINDS)[int(rng.integers(len(_KINDS)))]
        (place / "inventory.csv").write_text(_inventory(kind, rng), encoding="utf-8")
        (place / "cabinet.toml").write_text(_cabinet(f"Cabinet {number}", rng), encoding="utf-8")
        (place / "room.toml").write_text(_room(f"{kind.capitalize()} {number}", rng), encoding="utf-8")
        made.append(place)
    return made


def _inventory(kind: str, rng: np.random.Generator) -> str:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(
        ("name", "cas", "amount", "unit", "count", "state", "concentration", "opened_per_week", "note")
    )
    shelves = (_SOLVENTS, _REAGENTS, _SALTS)
    taken: set[str] = set()
    for _ in range(int(rng.integers(3, 13))):
        shelf = shelves[int(rng.choice(3, p=_KINDS[kind]))]
        name, cas, state, strength, sizes = shelf[int(rng.integers(len(shelf)))]
        if cas in taken:
            continue
        taken.add(cas)
        amount, unit = sizes[int(rng.integers(len(sizes)))].split()
        count = int(rng.integers(1, 4))
        opened = int(rng.integers(0, 6))
        writer.writerow((name, cas, amount, unit, count, state, strength, opened, "invented"))
    return out.getvalue()


def _cabinet(name: str, rng: np.random.Generator) -> str:
    bays = int(rng.integers(1, 3))
    width = 1.0 if bays == 1 else 1.5
    shelf_width = 0.9 if bays == 1 else 0.7
    compartments = "".join(
        f'[[compartment]]\nkey = "{"AB"[bay]}"\n'
        + "".join(
            _SHELF.format(key=str(row + 1), height=0.1 + 0.42 * row, width=shelf_width) for row in range(4)
        )
        for bay in range(bays)
    )
    return _CABINET.format(
        name=name,
        width=width,
        air=0.83 * width,
        flow=float(rng.choice((160, 200, 240, 320))),
        age=float(rng.choice((365, 365, 540, 730))),
        mass=float(rng.choice((6, 8, 12, 16))),
        compartments=compartments,
    )


def _room(name: str, rng: np.random.Generator) -> str:
    return _ROOM.format(
        name=name,
        volume=round(float(rng.uniform(40.0, 250.0))),
        changes=round(float(rng.uniform(3.0, 10.0)), 1),
        temperature=round(float(rng.uniform(19.0, 26.0)), 1),
        humidity=round(float(rng.uniform(0.3, 0.65)), 2),
        background=round(float(np.exp(rng.normal(np.log(0.3), 0.6))), 2),
    )
