"""Media from files: the shipped generic ones by name, a user's by path."""

from __future__ import annotations

import hashlib
import tomllib
from functools import cache
from importlib import resources
from pathlib import Path

from stillroom.errors import InputError, Problem
from stillroom.media.model import Interval, Medium
from stillroom.media.schema import check

__all__ = ["default_seal_bypass", "load", "names", "parse", "versions"]


def _folder() -> resources.abc.Traversable:
    return resources.files("stillroom.media") / "data"


@cache
def names() -> tuple[str, ...]:
    """Names of the shipped generic media."""
    return tuple(
        sorted(item.name.removesuffix(".toml") for item in _folder().iterdir() if item.name.endswith(".toml"))
    )


def _problem(what: str, mend: str, *, file: str, key: str = "", found: str = "") -> InputError:
    return InputError(Problem(what, mend, file=file, column=key, found=found))


def parse(text: str, *, file: str) -> Medium:
    """A medium from the text of a TOML file; `file` is named in messages.

    Raises
    ------
    InputError
        With every key that is wrong, missing or not known.
    """
    try:
        fields = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _problem(
            f"this is not TOML: {error}",
            "Mend the line named, or start from docs/reference/media.md.",
            file=file,
        ) from None
    return check(fields, file=file)


@cache
def _shipped(name: str) -> Medium:
    return parse((_folder() / f"{name}.toml").read_text("utf-8"), file=f"{name}.toml")


def load(name_or_path: str | Path) -> Medium:
    """A shipped medium by its name, or a user's by the path of its TOML file (docs/reference/media.md).

    Raises
    ------
    InputError
        No such name or file, or a file that does not describe a medium; each fault with file, key and mend.
    """
    if str(name_or_path) in names():
        return _shipped(str(name_or_path))
    path = Path(name_or_path)
    try:
        return parse(path.read_text("utf-8-sig"), file=path.name)
    except (FileNotFoundError, IsADirectoryError):
        raise _problem(
            "there is no such medium",
            f"Name a shipped medium ({', '.join(names())}) or the path of a medium's TOML file.",
            file=str(name_or_path),
        ) from None
    except UnicodeDecodeError:
        raise _problem(
            "this is not text in UTF-8", "Save the medium's TOML file as UTF-8.", file=path.name
        ) from None


@cache
def versions() -> dict[str, str]:
    """Version of each shipped medium: the file's own version and the first 12 hex digits of its SHA-256."""
    found = {}
    for name in names():
        digest = hashlib.sha256((_folder() / f"{name}.toml").read_bytes()).hexdigest()
        found[name] = f"{_shipped(name).version}+{digest[:12]}"
    return found


def default_seal_bypass() -> Interval:
    """Fraction of the flow that goes round a seated, tested filter (dimensionless).

    Notes
    -----
    Median at the acceptance limit for adsorber cells of collective protection, downstream/upstream ≤ 0.0005
    [ufgs-15860a]: a cell that has just passed lies below, a cabinet's filter is seated by hand and seldom
    tested. p05 1e-4, a well-made gasket; p95 5e-3, a gap that a school-laboratory guide [cleapss-g9] warns
    of as the usual failure. The ends are our judgement. A stack that was leak-tested deserves its own
    interval.
    """
    return Interval(1e-4, 5e-4, 5e-3, "ufgs-15860a", "median: acceptance limit 0.0005; ends: judgement")
