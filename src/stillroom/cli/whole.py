"""A file that a command writes: there whole or not at all."""

from __future__ import annotations

from pathlib import Path

from stillroom.errors import InputError, Problem

__all__ = ["write_file"]


def write_file(file: Path, content: bytes, *, mend: str = "Choose another file.") -> None:
    """Write a file that the user named.

    Raises
    ------
    InputError
        It cannot be written.
    """
    from stillroom.fleet.journal import write_whole

    try:
        write_whole(file, content)
    except OSError as error:
        raise InputError(Problem(f"cannot be written ({error.strerror})", mend, file=str(file))) from None
