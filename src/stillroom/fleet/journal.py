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

    def keep(self, name: str, row: Mapping[str, Any], papers: Mapping[str, bytes]) -> None:
        """Keep a cabinet's papers, then its row: a row says that everything before it is there.

        Parameters
        ----------
        name : str
            Of the cabinet.
        row : mapping
            JSON values.
        papers : mapping
            File name to content.
        """
        place = self._folder / name
        place.mkdir(parents=True, exist_ok=True)
        for file, content in papers.items():
            write_whole(place / file, content)
        write_whole(place / "row.json", json.dumps(row, ensure_ascii=False, indent=1).encode())


def write_whole(path: Path, content: bytes) -> None:
    """Write a file so that it is there whole or not at all, also after a crash."""
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    with part.open("wb") as out:
        out.write(content)
        out.flush()
        os.fsync(out.fileno())
    part.replace(path)
