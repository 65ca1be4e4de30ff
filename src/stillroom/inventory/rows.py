"""One row to one `Container`, or to what is wrong with it."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from stillroom.errors import Problem
from stillroom.inventory.model import Closure, Component, Container, State
from stillroom.substances import check_digit, resolve
from stillroom.substances.model import Resolution, Substance
from stillroom.substances.solutions import StrengthError, mass_fraction, read_strength, solute
from stillroom.units import Quantity, QuantityError, parse_number, parse_quantity

__all__ = ["DecimalMark", "Row", "container_of", "decimal_mark"]

DecimalMark = Literal["", ".", ","]
_WATER = "7732-18-5"
_LARGEST = 1.0  # m³, or 1000 kg
_MOST = 10_000
_STATES: dict[str, State] = {
    "liquid": "liquid", "l": "liquid", "flüssig": "liquid", "liquide": "liquid", "líquido": "liquid",
    "solid": "solid", "s": "solid", "powder": "solid", "fest": "solid", "pulver": "solid", "solide": "solid",
    "poudre": "solid", "sólido": "solid", "crystals": "solid", "pellets": "solid", "granules": "solid", "paste": "solid",
    "gas": "gas", "g": "gas", "cylinder": "gas", "compressed gas": "gas", "gaz": "gas",
    "solution": "solution", "sol": "solution", "aq": "solution", "aqueous": "solution", "aqueous solution": "solution",
    "lösung": "solution", "solución": "solution", "unknown": "unknown", "?": "unknown", "unbekannt": "unknown",
}  # fmt: skip
_CLOSURES: tuple[tuple[str, Closure], ...] = (
    (r"ampoule|ampule|sealed|ampulle", "sealed ampoule"),
    (r"vent", "vented cap"),
    (r"septum|crimp", "septum cap"),
    (r"stopper|ground|nj|stopfen|bouchon rodé", "ground-glass stopper"),
    (r"snap|push|press", "snap cap"),
    (r"without liner|unlined|no liner", "screw cap without liner"),
    (r"screw|gl ?45|gl ?32|lined|liner|ptfe|schraub|vis", "screw cap with liner"),
    (r"metal can|tin|canister", "metal can"),
    (r"^open$|no cap|uncovered", "open"),
    (r"not stated|unknown|^\?$|^-$", "not stated"),
)
_OFTEN = {"daily": 5.0, "every day": 5.0, "täglich": 5.0, "weekly": 1.0, "monthly": 0.25, "never": 0.0, "rarely": 0.1,
          "sealed": 0.0, "unopened": 0.0, "yearly": 0.02}  # fmt: skip
_DATE = re.compile(
    r"\d{1,4}[/.-]\d{1,2}[/.-]\d{1,4}( \d\d:\d\d.*)?|\d{5}(\.0)?|\d{1,2}[- ][A-Za-z]{3}[- ]\d{2,4}"
)
_PACK = re.compile(r"\s*(\d{1,4})\s*[x×*]\s*(\d.*)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Row:
    """One row: its number, values by column of ours, headers as written by column of ours."""

    number: int
    values: dict[str, str]
    headers: dict[str, str]


def decimal_mark(amounts: Sequence[str]) -> DecimalMark:
    """The decimal mark that a column of amounts shows beyond doubt; empty where it shows none or both."""
    comma = any(re.search(r"\d,\d{1,2}(?!\d)|\d,\d{4,}", text) for text in amounts)
    point = any(re.search(r"\d\.\d{1,2}(?!\d)|\d\.\d{4,}", text) for text in amounts)
    return "," if comma and not point else "." if point and not comma else ""


class _Faults:
    """Collects the problems of one row."""

    def __init__(self, row: Row, file_name: str) -> None:
        self.row, self.file_name = row, file_name
        self.problems: list[Problem] = []

    def add(self, column: str, what: str, mend: str, *, found: str | None = None) -> None:
        value = self.row.values.get(column, "") if found is None else found
        self.problems.append(
            Problem(
                what,
                mend,
                file=self.file_name,
                row=self.row.number,
                column=self.row.headers.get(column, column),
                found=value,
            )
        )


def container_of(
    row: Row, *, file_name: str, decimal: DecimalMark
) -> tuple[list[Problem], Container | None, list[str]]:
    """The row's problems; the container where there are none; remarks that deserve a second look."""
    faults = _Faults(row, file_name)
    values = row.values
    amount, packed = _amount(faults, decimal)
    count = _count(faults, packed)
    state = _state(faults)
    opened, stated = _opened(faults, decimal)
    remarks: list[str] = []
    found = _identity(faults)
    components: tuple[Component, ...] = ()
    strength, unknown = values.get("concentration", ""), ""
    if found is not None and found.substance is None:
        near = f" Near names: {', '.join(found.near)}." if found.near else ""
        unknown = f"{found.reason}.{near}"
    elif found is not None and found.substance is not None:
        strength = strength or found.strength
        components, state, said = _contents(faults, found, strength, state)
        remarks = [f"row {row.number}: {words}" for words in (found.reason, *said) if words]
    if faults.problems or amount is None:
        return faults.problems, None, remarks
    closure, material = _closure(values)
    return (
        [],
        Container(
            key=f"r{row.number}",
            row=row.number,
            name=values.get("name", "") or (components[0].substance.name if components else ""),
            cas_written=values.get("cas", ""),
            components=components,
            amount=amount,
            count=count,
            state=state if state != "unknown" or not components else _phase(components[0].substance),
            concentration=strength,
            material=material,
            closure=closure,
            opened_per_week=opened,
            opened_stated=stated,
            note=values.get("note", ""),
            unknown_reason=unknown,
        ),
        remarks,
    )


def _amount(faults: _Faults, decimal: DecimalMark) -> tuple[Quantity | None, int]:
    """Size of one container, and how many were written with it ("4 x 500 mL")."""
    text, unit = faults.row.values.get("amount", ""), faults.row.values.get("unit", "")
    if not text:
        faults.add("amount", "no size is given", "Write the size of one container, like 2.5 L.")
        return None, 1
    packed = 1
    match = _PACK.fullmatch(text)
    if match:
        packed, text = int(match[1]), match[2]
    text = re.sub(
        r"(?<=[A-Za-z])\s+(winchester|bottle|flask|jar|can|vial|drum)s?$", "", text, flags=re.IGNORECASE
    )
    try:
        amount = parse_quantity(text, unit=unit, decimal=decimal)
    except QuantityError as error:
        words, _, mend = str(error).partition(". ")
        faults.add("amount", words, f"{mend}." if mend else "Write it like 2.5 L or 500 g.")
        return None, packed
    if amount.value > _LARGEST * (1.0 if amount.kind == "volume" else 1000.0):
        faults.add(
            "amount", "is more than 1000 L or 1000 kg in one container", "Check the unit.", found=amount.text
        )
    return amount, packed


def _count(faults: _Faults, packed: int) -> int:
    text = faults.row.values.get("count", "")
    if not text:
        return max(packed, 1)
    text = re.sub(r"\s*(bottles?|pcs|pieces?|x|flasks?|stk|st)\.?$", "", text, flags=re.IGNORECASE)
    try:
        value = parse_number(text)
    except QuantityError as error:
        faults.add("count", str(error).partition(". ")[0], "Write how many containers, like 2.")
        return 1
    if value != math.floor(value) or not 1 <= value <= _MOST:
        faults.add("count", f"is not a whole number from 1 to {_MOST}", "Write how many containers, like 2.")
        return 1
    if packed > 1 and int(value) not in (1, packed):
        faults.add(
            "count", f"the size says {packed} containers and the count {int(value)}", "Keep one of them."
        )
    return max(int(value), packed)


def _state(faults: _Faults) -> State:
    text = faults.row.values.get("state", "").strip().lower()
    if not text:
        return "unknown"
    if text in _STATES:
        return _STATES[text]
    faults.add("state", "is not a state that is known", "Write liquid, solid, solution or gas.")
    return "unknown"


def _opened(faults: _Faults, decimal: DecimalMark) -> tuple[float, bool]:
    text = faults.row.values.get("opened_per_week", "").strip().lower()
    if not text:
        return 1.0, False
    if text in _OFTEN:
        return _OFTEN[text], True
    try:
        value = parse_number(text, decimal=decimal)
    except QuantityError as error:
        faults.add(
            "opened_per_week", str(error).partition(". ")[0], "Write how often a week, like 5, or daily."
        )
        return 1.0, False
    if not 0 <= value <= 500:
        faults.add("opened_per_week", "is not between 0 and 500", "Write how often a week, like 5.")
    return value, True


def _identity(faults: _Faults) -> Resolution | None:
    """Which substance; None where the row itself is wrong."""
    name, cas = faults.row.values.get("name", ""), faults.row.values.get("cas", "")
    if cas and _DATE.fullmatch(cas) and not re.fullmatch(r"\d{2,7}-\d{2}-\d", cas):
        faults.add(
            "cas",
            "looks like a date: the spreadsheet has turned a CAS number into one",
            "Format the column as text and type the CAS number again.",
        )
        return None
    if cas.lower() in ("n/a", "na", "none", "-", "–", "unknown", "?", "mixture", "not applicable"):
        cas = ""
    if not name and not cas:
        faults.add("name", "neither a name nor a CAS number is given", "Write one of them.")
        return None
    if cas and re.fullmatch(r"\D*\d{2,7}\D\d{2}\D\d\D*", cas) and not check_digit(_tidy(cas)):
        faults.add("cas", "the check digit of this CAS number is wrong", "Copy it again from the label.")
        return None
    found = resolve(cas=cas, name=name)
    if found.substance is None and found.contradiction:
        faults.add(
            "cas" if cas else "name", found.reason, "Correct the name or the number.", found=cas or name
        )
        return None
    return found


def _tidy(cas: str) -> str:
    from stillroom.substances.identity import tidy_cas

    return tidy_cas(cas)


def _contents(
    faults: _Faults, found: Resolution, strength: str, state: State
) -> tuple[tuple[Component, ...], State, list[str]]:
    """Components, state, and what was assumed."""
    substance = found.substance
    assert substance is not None
    known = solute(substance.cas)
    if strength:
        try:
            read = read_strength(strength)
        except StrengthError as error:
            column = "concentration" if faults.row.values.get("concentration") else "name"
            words, _, mend = str(error).partition(". ")
            faults.add(column, words, f"{mend}." if mend else "Write it like 37 % or 1 M.", found=strength)
            return (), state, []
        fraction, said = mass_fraction(read, substance)
        if fraction is None:
            return (Component(substance, None),), state, [f"{said}; it is counted as pure"]
        pure = known is None and not found.solvent and fraction >= 0.9
        if pure or (known is not None and fraction > known.most and not found.solvent) or fraction >= 0.999:
            return (Component(substance, 1.0),), state, [said]
        if state == "solid" and not found.solvent:
            return (Component(substance, 1.0),), state, [f"{strength} of a solid is taken as its purity"]
        return _with_solvent(found, substance, fraction), "solution", [said]
    name = faults.row.values.get("name", "").lower()
    if known is not None and state != "gas" and name not in (word.lower() for word in known.pure_names):
        means_solution = known.bare == "solution" or (
            known.bare == "either" and state in ("liquid", "solution")
        )
        if means_solution and known.usual is not None and state != "solid":
            words = f"no strength is given for {substance.name}: the usual {100 * known.usual:g} % is taken; write the strength"
            return _with_solvent(found, substance, known.usual), "solution", [words]
    if state == "solution" or found.solvent:
        words = f"no strength is given for {substance.name} in solution: it is counted as pure"
        return (Component(substance, None),), state, [words]
    return (Component(substance, 1.0),), state, []


def _with_solvent(found: Resolution, substance: Substance, fraction: float) -> tuple[Component, ...]:
    solvent = resolve(name=found.solvent) if found.solvent else resolve(cas=_WATER)
    if solvent.substance is None:
        return (Component(substance, fraction),)
    return (Component(substance, fraction), Component(solvent.substance, 1.0 - fraction))


def _closure(values: dict[str, str]) -> tuple[Closure, str]:
    """Closure class and material of the container."""
    text = values.get("closure", "").strip().lower()
    material = values.get("container", "").strip()
    for pattern, closure in _CLOSURES:
        if text and re.search(pattern, text):
            return closure, material
    if not text and re.search(r"ampoule|ampule", material.lower()):
        return "sealed ampoule", material
    if not text and re.search(r"metal can|^tin$|canister", material.lower()):
        return "metal can", material
    return "not stated", material


def _phase(substance: Substance) -> State:
    from stillroom.substances.properties import properties

    return properties(substance.cas).phase
