"""A medium's file, with what certificates of tests say of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from stillroom import media
from stillroom.bed.calibrate import calibrated
from stillroom.errors import InputError, Problem
from stillroom.media.certificate import load_certificate
from stillroom.media.model import Interval, Medium
from stillroom.media.write import dumps
from stillroom.substances import hazards

__all__ = ["Calibrated", "calibrate"]


@dataclass(frozen=True, slots=True)
class Calibrated:
    """A medium's file and what has moved."""

    text: str
    words: tuple[str, ...]


def calibrate(medium: str, certificates: Sequence[Path], *, seed: int = 1) -> Calibrated:
    """The file of a medium that certificates have narrowed, one after the other.

    Parameters
    ----------
    medium : str
        A file, or a shipped name.
    certificates : sequence of Path
        TOML files.
    seed : int
        Of the draws.

    Raises
    ------
    InputError
        A file is wrong, or a certificate and the medium contradict each other.
    CannotTell
        A property of a vapour is not known.
    """
    told = media.load(medium)
    fitted = "" if medium in media.names() else Path(medium).read_text("utf-8-sig").partition("\n[fit]")[2]
    after, words = told, []
    for path in certificates:
        certificate = load_certificate(path)
        if fitted and not hazards(certificate.cas).medium_family:
            what = "this medium was fitted to points, and what it holds of a vapour that adsorbs is told by these"
            mend = "Add the test to the table of points, as a pressure and a loading, and fit again."
            raise InputError(Problem(what, mend, file=path.name, column="cas", found=certificate.cas))
        before = after
        try:
            after = calibrated(after, certificate, seed=seed)
        except InputError as error:
            raise InputError(replace(problem, file=path.name) for problem in error.problems) from None
        words += [f"{path.name}: {line}" for line in _moved(before, after)]
    note = "; ".join(part for part in (told.note, f"{len(certificates)} certificates taken in") if part)
    text = dumps(replace(after, version=f"{told.version}-calibrated", note=note))
    return Calibrated(text + (f"\n[fit]{fitted}" if fitted else ""), tuple(words))


def _moved(before: Medium, after: Medium) -> list[str]:
    pairs = [
        ("pore volume", "cm³/g", before.micropore_volume, after.micropore_volume),
        ("energy", "kJ/mol", before.characteristic_energy, after.characteristic_energy),
        *(
            (f"capacity for {old.family}", f"g/g of {old.reference_cas}", old.capacity, new.capacity)
            for old, new in zip(before.impregnations, after.impregnations, strict=True)
        ),
    ]
    return [f"{name} {_points(old)} → {_points(new)} {unit}" for name, unit, old, new in pairs if old != new]


def _points(interval: Interval) -> str:
    return f"{interval.p05:.3g}–{interval.p50:.3g}–{interval.p95:.3g}"
