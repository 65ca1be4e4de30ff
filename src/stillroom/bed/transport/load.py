"""CASE.toml to a `Problem`."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from stillroom import media
from stillroom.bed.model import Vapour
from stillroom.bed.transport.problem import Langmuir, Law, Linear, Packing, Problem, Scheme
from stillroom.errors import InputError
from stillroom.errors import Problem as Fault
from stillroom.units import GAS_CONSTANT
from stillroom.units.files import check_fields, read_toml

if TYPE_CHECKING:
    from stillroom.bed.transport.medium import InMedium
    from stillroom.bed.transport.schema import BedTable, CaseFile, MediumTable, VapourTable

__all__ = ["load", "parse"]

Array = NDArray[np.float64]

_OWN = {"langmuir": ("q_max_mol_kg", "b_per_Pa", "rate_per_s"), "linear": ("henry_mol_kg_Pa", "rate_per_s")}
_SHAPES = {"q_max_mol_kg", "b_per_Pa", "henry_mol_kg_Pa"}


def load(path: Path | str) -> Problem:
    """The case in a TOML file; media named by file lie beside it.

    Raises
    ------
    InputError
        Every fault with its place and mend.
    CannotTell
        A vapour's properties are not known.
    """
    path = Path(path)
    return parse(read_toml(path), file_name=str(path), folder=path.parent)


def parse(data: Mapping[str, Any], *, file_name: str, folder: Path = Path()) -> Problem:
    """The case in parsed tables; media named by file are looked for in `folder`.

    Raises
    ------
    InputError
        Every fault with its place and mend.
    CannotTell
        A vapour's properties are not known.
    """
    from stillroom.bed.transport.schema import CaseFile

    single = not isinstance(data.get("bed"), list)
    try:
        read = check_fields(
            CaseFile,
            {**data, "bed": [data["bed"]]} if single and "bed" in data else data,
            file_name=file_name,
        )
        faults = list(_faults(read, file_name))
    except InputError as error:
        faults = list(error.problems)
    if faults:
        one = "bed." if single else "bed.1."
        raise InputError(replace(fault, column=fault.column.replace("bed.1.", one, 1)) for fault in faults)
    course = _Course.of(read)
    beds = read.bed
    inlet = course.inlet(read.vapour)
    layers = [_layer(read, bed, course, inlet, folder) for bed in beds]
    beds_by_medium = any(medium is not None and medium.law is None for medium in _media(read))
    run = read.run
    return Problem(
        vapours=tuple(vapour.cas for vapour in read.vapour),
        layers=tuple(layers),
        area=beds[0].area_m2,
        times=course.times,
        inlet=inlet,
        flow=course.flow,
        temperature=course.temperature,
        pressure=read.air.pressure_Pa,
        state=tuple(course.state.tolist()),
        fractions=tuple(run.fractions),
        families=tuple(_family(vapour, beds_by_medium) for vapour in read.vapour),
        scheme=Scheme(
            cells=() if run.cells is None else (run.cells,) * len(layers),
            tolerance=Scheme().tolerance if run.tolerance is None else run.tolerance,
        ),
        invented=read.invented,
    )


def _media(read: CaseFile) -> list[MediumTable | None]:
    return [bed.medium or read.medium for bed in read.bed]


def _family(vapour: VapourTable, by_medium: bool) -> str:
    """Whose stock a vapour uses: as told, or by what it is where a medium is real."""
    if vapour.family is not None or not by_medium:
        return vapour.family or ""
    from stillroom.substances import hazards

    return hazards(vapour.cas).medium_family


def _faults(read: CaseFile, file: str) -> Iterator[Fault]:
    """What no table can see by itself."""
    beds = read.bed
    media_told = _media(read)
    for number, (bed, medium) in enumerate(zip(beds, media_told, strict=True), 1):
        if medium is not None and medium.name is not None and medium.name not in media.names():
            mend = f"Shipped are {', '.join(media.names())}; one of your own is told by file."
            yield Fault("there is no such medium", mend, file, column="medium.name", found=medium.name)
        place = f"bed.{number}."
        if bed.area_m2 != beds[0].area_m2:
            yield Fault(
                "layers in series have one area", "Write the same area.", file, column=f"{place}area_m2"
            )
        if medium is None:
            yield Fault("it is not told what the bed holds", "Add [medium].", file, column="medium")
        elif medium.law is None and bed.grain_diameter_m is None:
            lacking = [vapour.cas for vapour in read.vapour if vapour.rate_per_s is None]
            if lacking:
                mend = f"Add it, or rate_per_s of {', '.join(lacking)}."
                yield Fault("rates are computed from it", mend, file, column=f"{place}grain_diameter_m")
    laws = {medium.law for medium in media_told if medium is not None}
    needed = {key for law in laws for key in _OWN.get(law or "", ())}
    seen: set[str] = set()
    for number, vapour in enumerate(read.vapour, 1):
        yield from _vapour_faults(vapour, number, needed, bool(laws - {None}), None in laws, file)
        if vapour.cas in seen:
            yield Fault("stands twice", "Keep one.", file, column=f"vapour.{number}.cas", found=vapour.cas)
        seen.add(vapour.cas)
    if laws - {None} and len(read.air.temperature_C) > 1:
        what = "a law told by numbers holds at one temperature"
        yield Fault(what, "Write one temperature, or name a medium.", file, column="air.temperature_C")


def _vapour_faults(
    vapour: VapourTable, number: int, needed: set[str], told: bool, by_medium: bool, file: str
) -> Iterator[Fault]:
    if vapour.stock_mol_kg is not None:
        needed = needed & {"rate_per_s"}
        if not told:
            mend = "Remove it: a medium's own file tells what its impregnation takes up."
            yield Fault("goes with a law told by numbers", mend, file, column=f"vapour.{number}.stock_mol_kg")
    for key in sorted(needed):
        if getattr(vapour, key) is None:
            yield Fault("is missing; the law needs it", "Add it.", file, column=f"vapour.{number}.{key}")
    for key in sorted(_SHAPES - needed):
        if getattr(vapour, key) is not None:
            mend = "Remove it, or tell the law that it belongs to."
            yield Fault("goes with another law", mend, file, column=f"vapour.{number}.{key}")
    if by_medium:
        from stillroom.media.impregnants import FAMILIES
        from stillroom.substances import check_digit

        if vapour.family is not None and vapour.family not in FAMILIES:
            mend = f"Use one of {', '.join(FAMILIES)}, or leave it out: what the vapour is tells it."
            where = f"vapour.{number}.family"
            yield Fault("is no family of an impregnation", mend, file, column=where, found=vapour.family)
        if not check_digit(vapour.cas):
            mend = "Write it as 108-88-3; a medium's law needs the vapour's properties."
            yield Fault("is no CAS number", mend, file, column=f"vapour.{number}.cas", found=vapour.cas)


@dataclass(frozen=True, slots=True)
class _Course:
    """The pieces between all changes; each array (pieces,)."""

    times: Array
    """(pieces + 1,) [s]"""
    flow: Array
    """[m³/s]"""
    temperature: Array
    """[K]"""
    humidity: Array
    state: NDArray[np.int64]
    """which of the different airs"""
    airs: Array
    """(states, 3): temperature, humidity, flow"""
    to_moles: Array
    """[mol/(m³ ppm)]"""

    @classmethod
    def of(cls, read: CaseFile) -> _Course:
        air, end = read.air, read.run.until_h
        courses = [air.flow_m3_h, air.temperature_C, air.relative_humidity]
        told = [*courses, *(vapour.inlet for vapour in read.vapour if vapour.inlet is not None)]
        changes = {hour for course in told for hour, _ in course if hour < end}
        hours = np.array(sorted({0.0, end, *changes}))
        flow, warmth, humidity = (_values(course, hours[:-1], first=True) for course in courses)
        kelvin = warmth + 273.15
        airs, state = np.unique(
            np.column_stack([kelvin, humidity, flow / 3600.0]), axis=0, return_inverse=True
        )
        return cls(
            times=hours * 3600.0,
            flow=flow / 3600.0,
            temperature=kelvin,
            humidity=humidity,
            state=np.asarray(state, dtype=np.int64).reshape(-1),
            airs=airs,
            to_moles=1e-6 * air.pressure_Pa / (GAS_CONSTANT * kelvin),
        )

    def inlet(self, vapours: Sequence[VapourTable]) -> Array:
        """(pieces, vapours) [mol/m³]."""
        hours = self.times[:-1] / 3600.0
        ppm = [
            np.full(hours.size, v.inlet_ppm) if v.inlet is None else _values(v.inlet, hours, first=False)
            for v in vapours
        ]
        return np.asarray(np.column_stack(ppm) * self.to_moles[:, None])


def _values(course: Sequence[tuple[float, float]], hours: Array, *, first: bool) -> Array:
    """At each hour the row that holds from then on; before the first row its value, or nothing."""
    rows = np.array(course, float)
    at = np.searchsorted(rows[:, 0], hours * (1.0 + 1e-12), side="right") - 1
    early = rows[0, 1] if first else 0.0
    return np.where(at < 0, early, rows[np.maximum(at, 0), 1])


def _layer(read: CaseFile, bed: BedTable, course: _Course, inlet: Array, folder: Path) -> Packing:
    medium = bed.medium or read.medium
    assert medium is not None
    told = np.array([np.nan if v.rate_per_s is None else v.rate_per_s for v in read.vapour])
    if medium.law is not None:
        law = _told_law(medium.law, read.vapour)
        stock = np.array([vapour.stock_mol_kg or 0.0 for vapour in read.vapour])
        count = len(course.airs)
        return Packing(
            bed.depth_m,
            bed.bulk_density_kg_m3,
            (law,) * count,
            np.tile(told, (count, 1)),
            np.tile(stock, (count, 1)),
        )
    found = [_in_medium(read, bed, medium, air, inlet.max(axis=0), folder) for air in course.airs]
    rates = [np.where(np.isnan(told) | (one.rates == 0.0), one.rates, told) for one in found]
    return Packing(
        bed.depth_m,
        bed.bulk_density_kg_m3,
        tuple(one.law for one in found),
        np.stack(rates),
        np.stack([one.stock for one in found]),
    )


def _told_law(law: str, vapours: Sequence[VapourTable]) -> Law:
    def column(key: str) -> Array:
        """What reacts needs no law, and any will do."""
        told = [getattr(vapour, key) for vapour in vapours]
        return np.array([1.0 if value is None else value for value in told], float)

    if law == "linear":
        return Linear(column("henry_mol_kg_Pa"))
    return Langmuir(limit=column("q_max_mol_kg"), affinity=column("b_per_Pa"))


def _in_medium(
    read: CaseFile, bed: BedTable, told: MediumTable, air: Array, inlet: Array, folder: Path
) -> InMedium:
    from stillroom.bed.transport.medium import in_medium
    from stillroom.substances import properties

    medium = media.load(told.name) if told.name else media.load(folder / str(told.file))
    kelvin, humidity, flow = (float(value) for value in air)
    vapours = [Vapour(properties(v.cas, temperature=kelvin), _family(v, True)) for v in read.vapour]
    mass = bed.depth_m * bed.area_m2 * bed.bulk_density_kg_m3
    return in_medium(
        media.Bed(medium, mass, bed.area_m2),
        vapours,
        flow=flow,
        temperature=kelvin,
        pressure=read.air.pressure_Pa,
        relative_humidity=humidity,
        inlet=inlet,
        bulk_density=bed.bulk_density_kg_m3,
        grain_diameter=bed.grain_diameter_m or medium.grain_diameter.p50,
        void_fraction=bed.void_fraction,
    )
