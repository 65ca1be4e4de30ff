"""Answers kept as they come, each whole or not at all, so that a run that was cut off goes on where it was."""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any

__all__ = ["Journal"]


class Journal:
    """A folder with a row for each cabinet, and its record beside it."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def row(self, name: str, digest: str) -> dict[str, Any] | None:
        """The row of cabinet `name`, where it is there, whole, and was made from the same `digest`."""
        try:
            row = json.loads((self._folder / name / "row.json").read_bytes())
        except (OSError, ValueError):
            return None
        return row if isinstance(row, dict) and row.get("digest") == digest else None

    def keep(self, name: str, row: Mapping[str, Any], papers: Mapping[str, bytes]) -> dict[str, Any]:
        """Keep a cabinet's papers, then its row: a row says that everything before it is there, and nothing older is.

        Parameters
        ----------
        name : str
            Of the cabinet.
        row : mapping
            JSON values.
        papers : mapping
            File name to content.

        Returns
        -------
        dict
            The row with its ``files``, as `row` gives it later.
        """
        place = self._folder / name
        place.mkdir(parents=True, exist_ok=True)
        for left in place.glob(".*.part"):  # by a run that was killed: each cabinet is one process's
            left.unlink()
        for old in {*self._files(place)} - {*papers}:
            (place / Path(old).name).unlink(missing_ok=True)
        for file, content in papers.items():
            write_whole(place / file, content)
        told = {**row, "files": sorted(papers)}
        write_whole(place / "row.json", json.dumps(told, ensure_ascii=False, indent=1).encode())
        return told

    def _files(self, place: Path) -> list[str]:
        """The papers that the row there speaks of."""
        try:
            return [str(name) for name in json.loads((place / "row.json").read_bytes())["files"]]
        except (OSError, ValueError, KeyError, TypeError):
            return []


def write_whole(path: Path, content: bytes) -> None:
    """Write a file so that it is there whole or not at all, also after a crash."""
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    with part.open("wb") as out:
        out.write(content)
        out.flush()
        os.fsync(out.fileno())
    part.replace(path)
