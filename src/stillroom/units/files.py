"""TOML files of the user's, read with the place of every fault; and cells of tables that leave."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from stillroom.errors import InputError, Problem

if TYPE_CHECKING:
    from pydantic import BaseModel

    Model = TypeVar("Model", bound=BaseModel)

__all__ = ["check_fields", "parse_toml", "plain_cell", "read_toml"]

_LARGEST_FILE = 1_000_000
_TRIGGERS = ("=", "+", "-", "@", "|", "%", "\t", "\r", "\n", "\0", "＝", "＋", "－", "＠")


def read_toml(path: Path | str) -> dict[str, Any]:
    """The content of a TOML file.

    Raises
    ------
    InputError
        The file is not there, too large, not UTF-8 or not TOML; the message says which and where.
    """
    path = Path(path)
    try:
        data = path.read_bytes()
    except OSError as error:
        raise InputError(
            Problem(f"cannot be read ({error.strerror})", "Check the path.", file=str(path))
        ) from None
    return parse_toml(data, file_name=str(path))


def parse_toml(data: bytes, *, file_name: str) -> dict[str, Any]:
    """The content of TOML bytes; errors as `read_toml`."""
    if len(data) > _LARGEST_FILE:
        raise InputError(Problem("is larger than 1 MB", "Is it the right file?", file=file_name))
    try:
        return tomllib.loads(data.decode("utf-8-sig"))
    except UnicodeDecodeError:
        raise InputError(Problem("is not UTF-8 text", "Save it as UTF-8.", file=file_name)) from None
    except tomllib.TOMLDecodeError as error:
        raise InputError(Problem(f"is not TOML: {error}", "Mend that place.", file=file_name)) from None


def check_fields(model: type[Model], data: Mapping[str, Any], *, file_name: str) -> Model:
    """`data` as a `model`, or an InputError that lists every field at fault with its mend."""
    from pydantic import ValidationError

    try:
        return model.model_validate(data)
    except ValidationError as error:
        problems = []
        for fault in error.errors():
            place = ".".join(str(part + 1) if isinstance(part, int) else part for part in fault["loc"])
            if fault["type"] == "extra_forbidden":
                mend = "Remove it, or check its spelling."
            elif fault["type"] == "missing":
                mend = "Add it."
            else:
                mend = "Change it."
            found = "" if fault["type"] == "missing" else str(fault["input"])[:60]
            problems.append(Problem(fault["msg"], mend, file=file_name, column=place, found=found))
        raise InputError(problems) from None


def plain_cell(value: Any) -> Any:
    """A cell that no spreadsheet takes for a formula: text that would start one gets an apostrophe (OWASP ASVS 5.0, 1.2.10).

    So does text that has apostrophes before such a start already: taking one away gives back what was there.
    """
    if isinstance(value, str) and value.lstrip("'").startswith(_TRIGGERS):
        return "'" + value
    return "" if value is None else value
