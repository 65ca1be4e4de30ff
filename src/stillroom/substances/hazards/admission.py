"""May a substance be in a recirculating filtered cabinet at all?

In order: lists by CAS number, the boiling point (a gas at ambient), the structure; what has neither list nor
structure is unknown, and never ordinary.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from stillroom.substances.hazards.structure import azide_ratio, boiling_point, matches, molecule, smiles_of
from stillroom.substances.hazards.tables import by_cas, rows, sidecar
from stillroom.substances.model import Admission

__all__ = ["Answer", "admit"]

AMBIENT = 293.15
"""[K] what boils below is a gas in its bottle: 20 °C, as in CLP Annex I, 1.0 (definition of gas)"""
NEAT = 0.95
"""[-] mass fraction from which a bottle counts as the neat substance: common practice, no source"""
WEAKLY_HELD = 333.15
"""[K] boiling points up to 65 °C are the low-boiling class AX of EN 14387; 60 °C with our margin"""


@dataclass(frozen=True, slots=True)
class Answer:
    """The admission of one substance at one strength, with its reasons and what it brings along."""

    admission: Admission
    reasons: tuple[str, ...]
    sources: tuple[str, ...]
    family: str = ""
    notes: tuple[str, ...] = ()
    classes: tuple[str, ...] = field(default=())
    known: bool = True


def admit(cas: str, *, mass_fraction: float | None, state: str) -> Answer:
    """Whether `cas` may be in the cabinet at this mass fraction [-] and state."""
    row = by_cas("admission").get(cas)
    if row:
        answer = _listed(row, mass_fraction, state)
        if answer.admission is not Admission.ORDINARY or row["below"]:
            return answer
    return _gas(cas, mass_fraction, state) or _by_structure(cas, mass_fraction) or _ordinary(cas)


def _category(name: str) -> Mapping[str, Any]:
    return dict(sidecar("admission")["category"][name])


def _listed(row: Mapping[str, str], mass_fraction: float | None, state: str) -> Answer:
    """The list's answer: refused from a strength, milder below it, unknown where none is stated."""
    category = _category(row["category"])
    locator = f", {row['un']} of 49 CFR 172.101" if row["un"] else ""
    reason = f"{row['name']}: {category['reason']}{locator}"
    sources = tuple(dict.fromkeys([category["source"], *(["us-49cfr172-101"] if row["un"] else [])]))
    notes = (row["note"],) if row["note"] else ()
    classes = tuple(category["storage"])

    def answer(admission: Admission, why: str = reason, more: tuple[str, ...] = ()) -> Answer:
        return Answer(admission, (why,), sources, row["medium_family"], (*notes, *more), classes)

    below = Admission.NEEDS_MEDIUM if row["below"] == "needs medium" else Admission.ORDINARY
    if not row["refused_from"]:
        return answer(below, reason if below is Admission.NEEDS_MEDIUM else f"{row['name']}: admitted")
    threshold = float(row["refused_from"])
    gas = threshold == NEAT
    if threshold == 0 or state == "gas":
        return answer(Admission.REFUSED)
    if mass_fraction is None or (gas and state == "solution" and mass_fraction >= NEAT):
        if gas:
            return answer(below, more=("its strength is not stated: the vapour over it cannot be computed",))
        why = f"{reason}. At {threshold:.0%} and above it is refused: state the strength"
        return answer(Admission.UNKNOWN, why)
    if mass_fraction >= threshold:
        return answer(Admission.REFUSED)
    if below is Admission.NEEDS_MEDIUM:
        return answer(below)
    return answer(below, f"{row['name']} under {threshold:.0%}: admitted; at and above it is refused")


def _gas(cas: str, mass_fraction: float | None, state: str) -> Answer | None:
    """Refuse what is a gas at ambient, by its boiling point or by what the row says."""
    boiling = boiling_point(cas)
    category = _category("gas")
    neat = mass_fraction is not None and mass_fraction >= NEAT and state not in {"solution", "solid"}
    if state == "gas" or (boiling is not None and boiling < AMBIENT and neat):
        point = f" (boils at {boiling - 273.15:.0f} °C)" if boiling is not None else ""
        return Answer(
            Admission.REFUSED, (f"{category['reason']}{point}",), (category["source"],), classes=("gas",)
        )
    return None


def _by_structure(cas: str, mass_fraction: float | None) -> Answer | None:
    """Refuse, or send to another medium, by what the structure shows."""
    smiles = smiles_of(cas)
    if molecule(smiles) is None:
        return None
    ratio = azide_ratio(smiles)
    limit = float(sidecar("refused_structures")["azide_ratio"])
    if ratio is not None and ratio < limit and (mass_fraction is None or mass_fraction > 0.05):
        reason = f"organic azide with (C + O)/N = {ratio:.1f} < {limit:.0f}: it can explode"
        return Answer(Admission.REFUSED, (reason,), ("braese-2005",), classes=("explosive",))
    for row in rows("refused_structures"):
        bound = float(row["refused_from"] or 0)
        below = mass_fraction is not None and mass_fraction < bound
        if below or not matches(smiles, row["smarts"], count=int(row["count"])):
            continue
        answer = _structure_answer(cas, row)
        if answer:
            return answer
    return None


def _structure_answer(cas: str, row: Mapping[str, str]) -> Answer | None:
    category = _category(row["category"])
    admission = {
        "refused": Admission.REFUSED,
        "needs medium": Admission.NEEDS_MEDIUM,
        "unknown": Admission.UNKNOWN,
    }[row["admission"]]
    family = "acid gas" if admission is Admission.NEEDS_MEDIUM else ""
    if family:
        boiling = boiling_point(cas)
        if boiling is not None and boiling > float(sidecar("refused_structures")["fuming_below"]):
            note = "its vapour is slight, but moist air sets hydrogen halide free: keep the cap dry, tight"
            return _ordinary(cas, (note,), tuple(category["storage"]))
    end = f". {row['note']}" if row["note"] else ""
    reason = f"by its structure ({row['name']}): {category['reason']}{end}"
    return Answer(admission, (reason,), (category["source"],), family, classes=tuple(category["storage"]))


def _ordinary(cas: str, notes: tuple[str, ...] = (), classes: tuple[str, ...] = ()) -> Answer:
    """Ordinary where list or structure is known; unknown otherwise."""
    if molecule(smiles_of(cas)) is not None or cas in by_cas("known"):
        boiling = boiling_point(cas)
        if boiling is not None and boiling < WEAKLY_HELD:
            point = f"boils at {boiling - 273.15:.0f} °C"
            notes = (*notes, f"{point}: weakly held by carbon; the computed life decides")
        reason = "recognised, and neither refused nor in need of another medium"
        return Answer(Admission.ORDINARY, (reason,), ("chemicals-library",), notes=notes, classes=classes)
    reason = (
        "neither its structure nor a list says what it is, so nothing can be said of its hazards: "
        "identify it, or have it classified"
    )
    return Answer(Admission.UNKNOWN, (reason,), ("common-practice",), known=False)
