"""Names and CAS numbers to one identity.

Our table of names comes first; behind it stands the identifier database of the `chemicals` library, by
exact name or exact CAS number only: its searches by formula and structure, and numbers that it lists as
synonyms, are never used, because they return other substances (an organic diacetate for the number of calcium
carbide).
"""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from stillroom.substances.known_names import counted_as, name_table
from stillroom.substances.model import Resolution, Substance
from stillroom.substances.names import NameParts, key, take_apart

__all__ = ["check_digit", "name_of", "resolve", "tidy_cas"]

AMMONIA = "7664-41-7"
_NO_CONTENTS = re.compile(
    r"\b(?:unknown|unlabell?ed|un-?identified|no label|label missing|illegible|unreadable|mystery"
    r"|miscellaneous|misc\.?|various|assorted|wastes?|residues?(?! analysis)|samples?|leftovers?|used|spent|slop|washings?"
    r"|unbekannt\w*|ohne etikett|abfall\w*|inconnue?|sans étiquette|d[ée]chets?|desconocid[oa]|sin etiqueta"
    r"|residuos?|muestra|échantillon|n/a|tbd|\?+)(?!\w)|^\?+$",
    re.IGNORECASE,
)


def check_digit(cas: str) -> bool:
    """Whether `cas` is shaped like a CAS number and its check digit agrees.

    Notes
    -----
    The last digit is the sum of the others, each times its place counted from the right, modulo ten
    [cas-check-digit].

    Examples
    --------
    The page's own example: 7×1 + 0×2 + 7×3 + 0×4 + 1×5 = 33, so 107-07-3.

    >>> check_digit("107-07-3"), check_digit("107-07-4")
    (True, False)
    """
    match = re.fullmatch(r"([1-9][0-9]{1,6})-([0-9]{2})-([0-9])", cas)
    if not match:
        return False
    digits = (match[1] + match[2])[::-1]
    return sum(place * int(digit) for place, digit in enumerate(digits, 1)) % 10 == int(match[3])


def tidy_cas(text: str) -> str:
    """A CAS number without what people write around it ("CAS: 67–64–1 " becomes "67-64-1").

    Leading zeros go; anything that is not a CAS number is given back as it is.
    """
    compact = re.sub(r"[‐‑‒–—−]", "-", "".join(text.split()))
    compact = re.sub(r"^\[?(?:cas(?:-?(?:rn|nr|no))?[.:#]*)?", "", compact, flags=re.IGNORECASE).strip("[]'")
    match = re.fullmatch(r"0*([1-9]\d{1,6})-(\d\d)-(\d)", compact)
    return f"{match[1]}-{match[2]}-{match[3]}" if match else text.strip()


@cache
def _database() -> Any:
    from chemicals.identifiers import get_pubchem_db

    return get_pubchem_db()


def _record(cas: str) -> Any:
    """The database's entry under exactly this CAS number, or None."""
    found = _database().search_CAS(cas, True)
    return found if found and found.CASs == cas else None


@cache
def _substance(cas: str, written: str = "") -> Substance:
    table = name_table()
    names = table.names.get(cas, ())
    if cas in table.structure:
        formula, mass = table.structure[cas]
        return Substance(cas, names[0], formula, mass, "", names[1:])
    found = None if cas in table.no_structure else _record(cas)
    if not found:
        return Substance(cas, names[0] if names else written or cas, synonyms=names[1:])
    name = names[0] if names else found.common_name
    return Substance(cas, name, found.formula, float(found.MW), found.smiles, names[1:])


@dataclass(frozen=True, slots=True)
class _Reading:
    """What a name alone means."""

    cas: str = ""
    also: frozenset[str] = frozenset()
    core: str = ""
    """the part of the name that was found"""
    ours: bool = False
    """found in our own table"""


def _by_name(cores: tuple[str, ...]) -> _Reading:
    for core in cores:
        if entry := name_table().meaning.get(key(core)):
            return _Reading(*entry, core, True)
    for core in cores:
        if len(core) < 4 or _looks_like_formula(core):
            continue
        if found := _database().search_name(core.lower(), True):
            return _Reading(counted_as(found.CASs), frozenset(), core)
    return _Reading()


def _looks_like_formula(word: str) -> bool:
    atoms = re.fullmatch(r"(?:[A-Z][a-z]?\d*|[()\[\]·.]\d*)+", word)
    return bool(atoms and re.search(r"\d|[A-Z].*[A-Z]", word))


def _near(core: str) -> tuple[str, ...]:
    """Names of our table that look like this one, at most three, each with its CAS number."""
    from difflib import get_close_matches

    table = name_table()
    if len(core) < 5:
        return ()
    close = get_close_matches(key(core), table.meaning, n=6, cutoff=0.8)
    seen: dict[str, str] = {}
    for spelling in close:
        cas = table.meaning[spelling][0]
        if cas:
            seen.setdefault(cas, f"{table.names[cas][0]} ({cas})")
    return tuple(seen.values())[:3]


def _agree(cas: str, other: str, reading: _Reading) -> bool:
    """Whether a name that was read as `other` may stand beside the number `cas`."""
    if cas == other or cas in reading.also:
        return True
    if any(key(name) == key(reading.core) for name in name_table().names.get(cas, ())):
        return True
    if cas in name_table().no_structure or not (mine := _record(cas)):
        return False
    if not reading.ours and reading.core.lower() in (name.lower() for name in mine.synonyms):
        return True
    theirs = None if other in name_table().no_structure else _record(other)
    if not theirs:
        return False
    same_skeleton = mine.InChI_key[:14] == theirs.InChI_key[:14] != ""
    return same_skeleton or _differ_by_water(mine.formula, theirs.formula)


def _differ_by_water(one: str, two: str) -> bool:
    """Whether two formulae differ by crystal water alone."""

    def count(formula: str) -> Counter[str]:
        atoms: Counter[str] = Counter()
        for element, number in re.findall(r"([A-Z][a-z]?)(\d*)", formula):
            atoms[element] += int(number or 1)
        return atoms

    wet, dry = sorted((count(one), count(two)), key=lambda atoms: atoms["O"], reverse=True)
    waters = wet["O"] - dry["O"]
    salt = bool(set(dry) - {"C", "H", "O", "N"})
    return salt and waters > 0 and dry + Counter({"H": 2 * waters, "O": waters}) == wet


def _number(cas: str) -> str:
    """Why a CAS number cannot be one; empty where it can."""
    if not re.fullmatch(r"\d{2,7}-\d\d-\d", cas):
        return f"“{cas}” is not shaped like a CAS number (like 67-64-1)"
    if not check_digit(cas):
        return f"the check digit of the CAS number {cas} does not agree with its other digits"
    return ""


@cache
def resolve(*, cas: str = "", name: str = "") -> Resolution:
    """Which substance a CAS number, a name, or both together mean.

    Parameters
    ----------
    cas : str
        A CAS number, empty where none is known.
    name : str
        A name as written; strength, grade and solvent in it are taken apart.

    Returns
    -------
    Resolution
        `substance` is None where nothing can be said, with the `reason`; `contradiction` tells a wrong input
        (check digit, a name of another substance) from an unknown one; `near` offers names that look alike.

    Notes
    -----
    Where both are given and the name means no other substance, the number decides. A name that says that the
    contents are not known ("waste", "unlabelled", "sample") makes them unknown, whatever number stands beside.

    Examples
    --------
    >>> resolve(name="IPA").substance.cas
    '67-63-0'
    >>> resolve(name="toluene", cas="67-64-1").reason
    'the name “toluene” means toluene (108-88-3) and the CAS number 67-64-1 means acetone'
    """
    cas = tidy_cas(cas)
    parts = take_apart(name)
    found = _resolve(cas, parts)
    return replace(found, strength=parts.strength, grade=parts.grade, solvent=parts.solvent)


def _resolve(cas: str, parts: NameParts) -> Resolution:
    if cas and (fault := _number(cas)):
        return Resolution(None, fault, contradiction=True)
    if not cas and not parts.cores:
        return Resolution(None, "neither a name nor a CAS number is given")
    known = key(parts.text) in name_table().meaning
    if not known and (match := _NO_CONTENTS.search(parts.text)):
        return Resolution(None, f"the name says “{match[0]}”: what is in it is not known")
    if not cas and re.fullmatch(r"\d{2,7}-\d\d-\d", tidy_cas(parts.text)):
        return _resolve(tidy_cas(parts.text), NameParts("", ()))
    reading = _by_name(parts.cores)
    if fault := _beside(parts, reading):
        return Resolution(None, fault)
    if cas:
        counted = counted_as(cas)
        found = _with_number(counted, reading, parts.cores)
        if counted in (cas, AMMONIA) or found.substance is None:
            return found
        remark = f"the CAS number {cas} is counted as {found.substance.name} ({counted})"
        return replace(found, reason="; ".join(part for part in (remark, found.reason) if part))
    if reading.cas:
        remarks = [remark for remark in (_remark(reading), _left_out(parts, reading)) if remark]
        return Resolution(_substance(reading.cas), "; ".join(remarks))
    if reading.also:
        meanings = tuple(f"{_substance(other).name} ({other})" for other in sorted(reading.also))
        return Resolution(None, f"“{reading.core}” means several substances", near=meanings)
    shortest = parts.cores[-1]
    return Resolution(None, f"the name “{shortest}” is not known", near=_near(shortest))


def _beside(parts: NameParts, reading: _Reading) -> str:
    """Why the name holds more than one substance: an admixture, or another one in brackets."""
    if parts.added:
        return f"the name says “{parts.added}”: what is in it besides is not counted"
    if not parts.bracket or " (" in reading.core:
        return ""
    for words in dict.fromkeys(
        (parts.bracket, *re.split(r"\s*(?:,|;|\+|/|\band\b|\bund\b)\s*", parts.bracket))
    ):
        other = _by_name((words,))
        if other.ours and other.cas and reading.cas and not _agree(other.cas, reading.cas, reading):
            return (
                f"the name means {_substance(reading.cas).name} and in brackets {_substance(other.cas).name}"
            )
    return ""


def _with_number(cas: str, reading: _Reading, cores: tuple[str, ...]) -> Resolution:
    """The number decides unless the name means another substance."""
    meanings = [reading.cas] if reading.cas else sorted(reading.also)
    substance = _substance(cas, cores[-1] if cores else "")
    if meanings and not any(_agree(cas, meaning, reading) for meaning in meanings):
        means = " or ".join(f"{_substance(meaning).name} ({meaning})" for meaning in meanings)
        in_tables = cas in name_table().names or bool(substance.formula)
        other = substance.name if in_tables else "another substance"
        if not in_tables and not reading.ours:
            remark = (
                f"“{reading.core}” is elsewhere a name of {means}; the CAS number {cas} was taken as written"
            )
            return Resolution(substance, remark)
        fault = f"the name “{reading.core}” means {means} and the CAS number {cas} means {other}"
        return Resolution(None, fault, contradiction=True)
    if cas in name_table().name_decides:
        if reading.cas:
            return Resolution(_substance(reading.cas))
        return Resolution(
            None, f"the CAS number {cas} is used for several forms; write which one in the name"
        )
    in_tables = cas in name_table().names or bool(substance.formula)
    remark = ""
    if not meanings and cores and in_tables:
        remark = f"the name “{cores[-1]}” is not known; the CAS number {cas} was taken: {substance.name}"
    elif not in_tables:
        remark = f"the CAS number {cas} is in no table of ours; it was taken as written"
    return Resolution(substance, remark)


def _left_out(parts: NameParts, reading: _Reading) -> str:
    """Words in brackets that nothing was made of."""
    if not parts.bracket or " (" in reading.core:
        return ""
    same = _by_name((parts.bracket,)).cas == reading.cas
    return "" if same else f"what stands in brackets, “{parts.bracket}”, was left out"


def _remark(reading: _Reading) -> str:
    if reading.ours:
        return ""
    found = _substance(reading.cas)
    return (
        f"“{reading.core}” was read as {found.name}, CAS {found.cas}, from the name alone; "
        "check it, or write the CAS number"
    )


def name_of(cas: str) -> str:
    """The name that a CAS number has here; the number itself where it has none."""
    found = resolve(cas=cas).substance
    return cas if found is None else found.name
