"""What is in a container: components, state and strength from a name, a concentration and a state as written.

A name that in a laboratory means a solution ("hydrochloric acid", "formalin") is never read as the pure gas: where
no strength is written the usual concentrated one is taken, and that is said. A strength in a solvent that is not
named, and that is not plainly water, leaves the contents unknown.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from stillroom.inventory.model import Component, State
from stillroom.inventory.solvents import WATER, is_solid, share_out, solvents_of, substance_of
from stillroom.substances import Resolution, Substance, properties
from stillroom.substances.known_names import known_solids
from stillroom.substances.names import NameParts, take_apart
from stillroom.substances.solutions import (
    NamedSolution,
    Strength,
    StrengthError,
    mass_fraction,
    named_solution,
    read_strength,
    solute,
)

__all__ = ["Contents", "Written", "contents_of"]

METHANOL = "67-56-1"
FORMALDEHYDE = "50-00-0"
FORMALIN = (0.37, 0.15)
"""Mass fractions [-] of formaldehyde and of methanol (10 to 15 %; the upper end) in formalin."""
_FIXATIVE = 4.5
"""Up to this "% formalin" may mean formaldehyde itself, as in the usual 4 % fixative [%] (common practice, no source)."""
_PURITY = 0.9
"""From this mass fraction [-] on, a percentage without a solvent is a purity."""


@dataclass(frozen=True, slots=True)
class Written:
    """What a row says of its contents."""

    name: str
    concentration: str = ""
    state: State | None = None
    is_volume: bool = True
    """the amount is a volume"""
    cylinder: bool = False


@dataclass(frozen=True, slots=True)
class Contents:
    """Components, state, the strength as written, what deserves a second look, and why it is not known."""

    components: tuple[Component, ...]
    state: State
    concentration: str = ""
    remarks: tuple[str, ...] = ()
    unknown_reason: str = ""


def contents_of(written: Written, found: Resolution) -> Contents:
    """The contents of a container whose substance was `found`.

    Raises
    ------
    StrengthError
        The strength cannot be read, contradicts the name's, or cannot be.
    """
    substance = found.substance
    if substance is None:
        near = f"; names that look alike: {', '.join(found.near)}" if found.near else ""
        return Contents((), written.state or "unknown", written.concentration, (), found.reason + near)
    parts = _parts(written)
    remarks = (*((found.reason,) if found.reason else ()), *_denatured(parts))
    if written.state == "gas" or written.cylinder:
        return Contents((Component(substance, 1.0),), "gas", parts.strength, remarks)
    strength = _strength(written, parts)
    if _is_formalin(substance, strength, parts):
        got = _formalin(substance, strength, parts)
    elif strength:
        got = _with_strength(substance, strength, parts, written)
    else:
        got = _without_strength(substance, parts, written)
    state = got.state if got.state != "unknown" or not got.components else _phase(substance, parts, written)
    strength_words = parts.strength or got.concentration
    return Contents(got.components, state, strength_words, remarks + got.remarks, got.unknown_reason)


def _denatured(parts: NameParts) -> tuple[str, ...]:
    if re.search(r"denatured|methylated|\bIMS\b|brennspiritus|vergällt", parts.text, re.IGNORECASE):
        return ("denatured: what it was denatured with is not counted",)
    return ()


def _parts(written: Written) -> NameParts:
    """The name's parts, with what the concentration column says in place of the name's own."""
    name = take_apart(written.name)
    if not written.concentration:
        return name
    column = take_apart(written.concentration)
    if column.rest and not column.strength and not re.search(r"\d", column.rest):
        raise StrengthError(f"“{written.concentration}” is not a strength. Write it like 37 % or 1 M")
    stated = column.strength or (written.concentration if re.search(r"\d", written.concentration) else "")
    return NameParts(
        text=name.text,
        cores=name.cores,
        strength=stated or name.strength,
        solvent=column.solvent or name.solvent,
        grade=name.grade,
        form=column.form or name.form,
        shape=name.shape,
    )


def _strength(written: Written, parts: NameParts) -> Strength | None:
    if not parts.strength:
        return None
    if re.fullmatch(r"[\d.,]+", parts.strength):
        raise StrengthError(f"“{parts.strength}” has no unit. Write it like {parts.strength} % or 1 M")
    strength = read_strength(parts.strength.split(", ")[0])
    in_name = take_apart(written.name).strength
    if written.concentration and in_name and in_name != parts.strength:
        other = read_strength(in_name.split(", ")[0])
        if other.unit == strength.unit and abs(other.value - strength.value) > 0.02 * strength.value:
            what = f"the name says {other.text} and the concentration {strength.text}"
            raise StrengthError(f"{what}. Correct one of them")
    return strength


def _is_formalin(substance: Substance, strength: Strength | None, parts: NameParts) -> bool:
    """Whether it is formalin or a dilution of it: by its name, without a strength, or from 30 % on."""
    if substance.cas != FORMALDEHYDE or parts.solvent or re.search(r"methanol.free", parts.text, re.I):
        return False
    stock = re.search(r"formalin|formol|\bNBF\b", parts.text, re.I)
    return bool(stock) or strength is None or (strength.unit == "% w/w" and strength.value >= 30)


def _formalin(substance: Substance, strength: Strength | None, parts: NameParts) -> Contents:
    """Formalin by the share of it: "10 % formalin" holds a tenth of what formalin holds."""
    stock = re.search(r"formalin|formol|\bNBF\b", parts.text, re.IGNORECASE)
    buffered = re.search(r"buffered|\bNBF\b", parts.text, re.IGNORECASE)
    share = 1.0
    if strength and stock and strength.unit.startswith("%") and strength.value <= _FIXATIVE:
        share = strength.value / 100 / FORMALIN[0]  # of formaldehyde itself: the larger reading
    elif strength and stock and strength.unit.startswith("%") and strength.value < 30:
        share = strength.value / 100
    elif buffered and not strength:
        share = 0.1
    aldehyde, methanol = FORMALIN[0] * share, FORMALIN[1] * share
    components = (
        Component(substance, aldehyde),
        Component(substance_of(WATER), 1.0 - aldehyde - methanol),
        Component(substance_of(METHANOL), methanol),
    )
    words = f"counted as a solution of {100 * aldehyde:.3g} % formaldehyde by mass with {100 * methanol:.3g} % methanol"
    return Contents(
        components, "solution", remarks=(f"{parts.cores[0] if parts.cores else 'formaldehyde'}: {words}",)
    )


def _with_strength(substance: Substance, strength: Strength, parts: NameParts, written: Written) -> Contents:
    known = solute(substance.cas)
    plain_percent = strength.unit == "% w/w"
    share = strength.value / 100
    says_solution = bool(parts.solvent) or parts.form != "" or written.state == "solution"
    if plain_percent and not parts.solvent and parts.form in ("", "glacial", "fuming"):
        most = known.most if known else 0.0
        if share > most and share >= _PURITY and written.state != "solution":
            return Contents((Component(substance, 1.0),), "unknown")
        solid = written.state == "solid" or (
            not says_solution and not written.is_volume and is_solid(substance)
        )
        if solid and share > most:
            words = f"{strength.text} {substance.name}: what the rest is, is not written"
            return Contents((Component(substance, share),), "solid", remarks=(words,))
        if known and share > most:
            words = f"“{strength.text}” is more {substance.name} than water takes up; check the strength"
            return Contents((Component(substance, share),), "unknown", remarks=(words,))
    solvents, density, fault = solvents_of(substance, parts)
    fraction, note = mass_fraction(strength, substance, solvent_density=density)
    if fraction is not None and fraction > 1:
        raise StrengthError(
            f"“{strength.text}” is more than the pure substance holds. Write it like 37 % or 1 M"
        )
    remarks = (note,) if note else ()
    if fault:
        return Contents((Component(substance, fraction),), "solution", "", remarks, fault)
    rest = None if fraction is None else round(1.0 - fraction, 12)
    thick = fraction is not None and fraction >= 0.5 and not written.is_volume and is_solid(substance)
    state: State = "solid" if thick and parts.solvent else "solution"
    return Contents((Component(substance, fraction), *share_out(solvents, rest)), state, "", remarks)


def _without_strength(substance: Substance, parts: NameParts, written: Written) -> Contents:
    known = solute(substance.cas)
    name = parts.cores[-1].lower() if parts.cores else ""
    if parts.solvent and parts.solvent.lower() != "water":
        return _of_no_strength(substance, parts)
    dilution = named_solution((parts.text, *parts.cores))
    if dilution is not None and dilution.cas == substance.cas:
        return _dilution(substance, dilution, parts)
    if known and known.usual is not None and name not in (pure.lower() for pure in known.pure_names):
        wet = parts.form or parts.solvent or written.state in ("solution", "liquid") or written.is_volume
        if known.bare == "solution" or (known.bare == "either" and wet):
            return _usual(substance, known.usual, parts, known.note)
    if parts.form in ("saturated", "solution", "dilute") or parts.solvent or written.state == "solution":
        return _of_no_strength(substance, parts)
    return Contents((Component(substance, 1.0),), "unknown")


def _usual(substance: Substance, usual: float, parts: NameParts, note: str) -> Contents:
    if parts.form == "fuming" and substance.cas == "7697-37-2":
        words = "fuming nitric acid is counted as pure; write the strength"
        return Contents((Component(substance, 1.0),), "liquid", remarks=(words,))
    written = "“dilute” is no strength" if parts.form == "dilute" else "no strength is written"
    beside = f" ({note})" if note else ""
    words = f"{written} for {substance.name}: the usual concentrated {100 * usual:g} % was taken{beside}"
    components = (Component(substance, usual), Component(substance_of(WATER), 1.0 - usual))
    return Contents(components, "solution", remarks=(f"{words}; write the strength",))


def _dilution(substance: Substance, dilution: NamedSolution, parts: NameParts) -> Contents:
    share = dilution.mass_fraction
    beside = f" ({dilution.words})" if dilution.words else ""
    words = f"“{parts.text}” is counted as {100 * share:g} % {substance.name} in water{beside}; write the strength"
    components = (Component(substance, share), Component(substance_of(WATER), 1.0 - share))
    return Contents(components, "solution", f"{100 * share:g} %", (words,))


def _of_no_strength(substance: Substance, parts: NameParts) -> Contents:
    solvents, _, fault = solvents_of(substance, parts)
    words = f"a solution of {substance.name} of unknown strength; write the strength"
    components = (Component(substance, None), *share_out(solvents, None))
    return Contents(components, "solution", remarks=() if fault else (words,), unknown_reason=fault)


def _phase(substance: Substance, parts: NameParts, written: Written) -> State:
    """The state of the pure substance: as written, else by its shape, its melting and boiling points, its unit."""
    if written.state and written.state != "unknown":
        return written.state
    phase = properties(substance.cas).phase
    salt = "+]" in substance.smiles and "-]" in substance.smiles
    if phase == "unknown" and (substance.cas in known_solids() or (salt and not written.is_volume)):
        return "solid"
    if phase == "unknown" and parts.shape and not re.search("liquid", parts.shape, re.IGNORECASE):
        return "solid"
    if phase == "unknown" and written.is_volume:
        return "liquid"
    return phase
