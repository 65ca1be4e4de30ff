"""CABINET files: TOML to `Cabinet`; and the shipped generic cabinets.

``stillroom.cabinet.load`` is this module and can be called like `load_cabinet`.
"""

from __future__ import annotations

import sys
import tomllib
from collections.abc import Mapping
from importlib import resources
from pathlib import Path
from types import ModuleType
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field

from stillroom.cabinet.design import Cabinet, Compartment, Shelf
from stillroom.errors import InputError, Problem
from stillroom.media.model import Bed, FilterStack, Interval, ParticulateFilter, Served
from stillroom.substances.fields import Cas
from stillroom.units.files import check_fields, read_toml

__all__ = ["load_cabinet", "parse_cabinet", "shipped", "shipped_tables"]

Key = Annotated[str, Field(min_length=1, max_length=12)]


def _length(largest: float) -> Any:
    return Annotated[float, Field(gt=0, le=largest, allow_inf_nan=False)]


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", strict=True)


class _CabinetTable(_Strict):
    name: Annotated[str, Field(min_length=1, max_length=200)]
    width_m: _length(5)  # type: ignore[valid-type]
    depth_m: _length(3)  # type: ignore[valid-type]
    height_m: _length(4)  # type: ignore[valid-type]
    air_volume_m3: _length(50)  # type: ignore[valid-type]
    flow_m3_h: Annotated[float, Field(gt=1, le=5000, allow_inf_nan=False)]
    max_filter_age_days: Annotated[float, Field(gt=0, le=3650, allow_inf_nan=False)] = 365.0
    detector: Annotated[str, Field(max_length=200)] = ""
    note: Annotated[str, Field(max_length=1000)] = ""


class _ShelfTable(_Strict):
    key: Key
    height_m: Annotated[float, Field(ge=0, le=4, allow_inf_nan=False)]
    width_m: _length(5)  # type: ignore[valid-type]
    depth_m: _length(3)  # type: ignore[valid-type]
    clear_height_m: _length(3)  # type: ignore[valid-type]
    max_load_kg: Annotated[float, Field(gt=0, le=1000, allow_inf_nan=False)]
    trays: Annotated[int, Field(ge=0, le=20)] = 0
    tray_volume_l: Annotated[float, Field(gt=0, le=500, allow_inf_nan=False)] | None = None


class _CompartmentTable(_Strict):
    key: Key
    shelf: Annotated[list[_ShelfTable], Field(min_length=1)]


class _BedTable(_Strict):
    medium: str
    mass_kg: Annotated[float, Field(gt=0, le=1000, allow_inf_nan=False)]
    area_m2: _length(20)  # type: ignore[valid-type]


class _ServedVapour(_Strict):
    cas: Cas
    mg_m3: Annotated[float, Field(ge=0, le=1e6, allow_inf_nan=False)]


class _ServedTable(_Strict):
    days: Annotated[float, Field(gt=0, le=3650, allow_inf_nan=False)]
    vapour: Annotated[list[_ServedVapour], Field(min_length=1, max_length=200)]
    uncertainty_factor: Annotated[float, Field(ge=1, le=100, allow_inf_nan=False)] = 2.0


class _FiltersTable(_Strict):
    particulate: str | None = None
    seal_bypass: Annotated[list[float], Field(min_length=3, max_length=3)] | None = None
    seal_bypass_source: str = "user"
    installed: str = ""
    bed: list[_BedTable] = []
    served: Annotated[list[_ServedTable], Field(max_length=100)] = []


class _CabinetFile(_Strict):
    cabinet: _CabinetTable
    compartment: Annotated[list[_CompartmentTable], Field(min_length=1)]
    filters: _FiltersTable
    medium: Annotated[list[dict[str, Any]], Field(max_length=20)] = []


def parse_cabinet(
    data: Mapping[str, Any], *, file_name: str = "cabinet", folder: Path | None = None
) -> Cabinet:
    """A `Cabinet` from the tables of a CABINET file (see docs/reference/cabinet.md).

    A bed's medium is one of the file's own ``[[medium]]`` tables (each a whole MEDIUM file), a shipped one, or a
    file in `folder`; without `folder` no file is opened.

    Raises
    ------
    InputError
        Every field at fault, with its place and mend.
    """
    file = check_fields(_CabinetFile, data, file_name=file_name)
    _no_twins(file, file_name)
    table = file.cabinet
    return Cabinet(
        name=table.name,
        width=table.width_m,
        depth=table.depth_m,
        height=table.height_m,
        air_volume=table.air_volume_m3,
        flow=table.flow_m3_h / 3600.0,
        compartments=tuple(
            Compartment(compartment.key, tuple(_shelf(row) for row in compartment.shelf))
            for compartment in file.compartment
        ),
        filters=_stack(
            file.filters, own=_own_media(file.medium, file_name), file_name=file_name, folder=folder
        ),
        max_age_days=table.max_filter_age_days,
        max_age_source="user" if "max_filter_age_days" in table.model_fields_set else "common-practice",
        detector=table.detector,
        note=table.note,
    )


def load_cabinet(name_or_path: Path | str) -> Cabinet:
    """A `Cabinet` from a CABINET file, or a shipped one by its name; errors as `parse_cabinet`."""
    if str(name_or_path) in shipped():
        return parse_cabinet(shipped_tables(str(name_or_path)), file_name=str(name_or_path))
    path = Path(name_or_path)
    if not path.suffix and not path.exists():
        mend = f"Name a file, or one of: {', '.join(shipped())}."
        raise InputError(Problem("there is no such shipped cabinet", mend, file=str(name_or_path)))
    return parse_cabinet(read_toml(path), file_name=str(path), folder=path.parent)


def shipped() -> tuple[str, ...]:
    """Names of the generic cabinets that come with the package."""
    folder = resources.files("stillroom.cabinet") / "data"
    return tuple(
        sorted(file.name.removesuffix(".toml") for file in folder.iterdir() if file.name.endswith(".toml"))
    )


def shipped_tables(name: str) -> dict[str, Any]:
    """The tables of a shipped cabinet, to be changed and given to `parse_cabinet`."""
    file = resources.files("stillroom.cabinet") / "data" / f"{name}.toml"
    return tomllib.loads(file.read_text("utf-8"))


def _no_twins(file: _CabinetFile, file_name: str) -> None:
    places = [(compartment.key, shelf.key) for compartment in file.compartment for shelf in compartment.shelf]
    twins = sorted({place for place in places if places.count(place) > 1})
    if twins:
        words = ", ".join(f"{compartment}/{shelf}" for compartment, shelf in twins)
        raise InputError(Problem(f"shelves stand twice: {words}", "Give each its own key.", file=file_name))


def _shelf(row: _ShelfTable) -> Shelf:
    return Shelf(
        key=row.key,
        height=row.height_m,
        width=row.width_m,
        depth=row.depth_m,
        clear_height=row.clear_height_m,
        max_load=row.max_load_kg,
        trays=row.trays,
        tray_volume=None if row.tray_volume_l is None else row.tray_volume_l * 1e-3,
    )


def _own_media(tables: list[dict[str, Any]], file_name: str) -> dict[str, Any]:
    """The media that the file itself describes, by name; none may pass for a shipped one or for another."""
    from stillroom import media
    from stillroom.media.schema import check

    own: dict[str, Any] = {}
    for n, table in enumerate(tables, 1):
        medium = check(table, file=f"{file_name}, medium {n}")
        if medium.name in own or medium.name in media.names():
            what = "is the name of another medium"
            mend = "Give this one a name of its own."
            raise InputError(Problem(what, mend, file=file_name, column="medium.name", found=medium.name))
        own[medium.name] = medium
    return own


def _stack(
    table: _FiltersTable, *, own: Mapping[str, Any], file_name: str, folder: Path | None
) -> FilterStack:
    from stillroom import media

    beds = tuple(
        Bed(own.get(bed.medium) or _medium(bed.medium, folder), mass=bed.mass_kg, area=bed.area_m2)
        for bed in table.bed
    )
    particulate = ParticulateFilter(table.particulate) if table.particulate else None
    if particulate:
        media.penetration(particulate)  # an unknown class is an error here and not later
    bypass = media.default_seal_bypass()
    if table.seal_bypass is not None:
        low, middle, high = table.seal_bypass
        if not 0 < low <= middle <= high < 1:
            mend = "Write 5, 50 and 95 % in rising order, each between 0 and 1."
            raise InputError(
                Problem("is not an interval", mend, file=file_name, column="filters.seal_bypass")
            )
        bypass = Interval(low, middle, high, table.seal_bypass_source)
    return FilterStack(particulate, beds, bypass, table.installed, _served(table, file_name))


def _served(table: _FiltersTable, file_name: str) -> tuple[Served, ...]:
    """What the filter in place was fed with before."""
    if table.served and not table.installed:
        mend = "Write the day on which this filter was put in: served tells what it did since."
        raise InputError(Problem("is missing", mend, file_name, column="filters.installed"))
    return tuple(
        Served(
            period.days,
            tuple((vapour.cas, vapour.mg_m3) for vapour in period.vapour),
            period.uncertainty_factor,
        )
        for period in table.served
    )


def _medium(name: str, folder: Path | None) -> Any:
    """A shipped medium; or a file beside the cabinet's own, never elsewhere, and none where there is no folder."""
    from stillroom import media

    if name in media.names():
        return media.load(name)
    known = f"Name a shipped one: {', '.join(media.names())}."
    if folder is None:
        raise InputError(Problem("there is no such shipped medium", known, column="medium", found=name))
    file = (folder / name).resolve()
    if not file.is_relative_to(folder.resolve()):
        mend = f"Put the medium's file beside the cabinet's. {known}"
        raise InputError(
            Problem("the medium's file lies outside the cabinet's folder", mend, column="medium", found=name)
        )
    return media.load(file)


class _Callable(ModuleType):
    """Lets ``cabinet.load(…)`` read a file whether or not this module took the name first."""

    def __call__(self, name_or_path: Path | str) -> Cabinet:
        return load_cabinet(name_or_path)


sys.modules[__name__].__class__ = _Callable
