"""A folder of cabinets: a folder each, with what is common to several above them."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path

from stillroom.errors import InputError, Problem

__all__ = ["Job", "find"]

_INVENTORIES = ("inventory.csv", "inventory.xlsx")


@dataclass(frozen=True, slots=True)
class Job:
    """One cabinet to assess."""

    name: str
    """path of its folder below the fleet's, with forward slashes"""
    inventory: Path
    cabinet: Path
    room: Path

    def digest(self, *options: str) -> str:
        """SHA-256 of the three files and of what else the answer hangs on.

        Parameters
        ----------
        options : str
            Date, seed, versions …, in a fixed order.
        """
        total = hashlib.sha256()
        for part in (*(path.read_bytes() for path in (self.inventory, self.cabinet, self.room)),):
            total.update(hashlib.sha256(part).digest())
        for option in options:
            total.update(hashlib.sha256(option.encode()).digest())
        return total.hexdigest()


def find(folder: Path | str) -> list[Job]:
    """Every folder below `folder` (or itself) that holds an inventory, in the order of their names.

    ``cabinet.toml`` and ``room.toml`` lie beside the inventory, or in a folder above it up to `folder`: the nearest counts.

    Raises
    ------
    InputError
        No folder, no inventory in it, or an inventory without cabinet or room; every one is named.
    """
    root = Path(folder)
    if not root.is_dir():
        raise InputError(Problem("is no folder", "Give the folder that holds the cabinets.", file=str(root)))
    jobs, problems = [], []
    for place in sorted({path.parent for name in _INVENTORIES for path in root.rglob(name)}):
        given = [place / name for name in _INVENTORIES if (place / name).is_file()]
        if len(given) > 1:
            problems.append(Problem("holds two inventories", "Leave one.", file=str(place)))
            continue
        found = {name: _nearest(place, root, name) for name in ("cabinet.toml", "room.toml")}
        absent = [name for name, path in found.items() if path is None]
        if absent:
            problems.append(
                Problem(
                    f"has no {' and no '.join(absent)}",
                    f"Put it beside the inventory or in a folder above, up to {root}.",
                    file=str(place),
                )
            )
            continue
        cabinet, room = found["cabinet.toml"], found["room.toml"]
        assert cabinet is not None and room is not None
        jobs.append(Job(place.relative_to(root).as_posix(), given[0], cabinet, room))
    if problems:
        raise InputError(problems)
    if not jobs:
        raise InputError(
            Problem(
                "holds no inventory.csv or inventory.xlsx", "Put each cabinet into a folder.", file=str(root)
            )
        )
    return jobs


def _nearest(place: Path, root: Path, name: str) -> Path | None:
    for folder in (place, *place.parents):
        if (folder / name).is_file():
            return folder / name
        if folder == root:
            return None
    return None  # pragma: no cover - root is always among the parents
