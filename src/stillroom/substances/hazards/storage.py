"""Storage classes: own words for what decides on shelf neighbours, by reactive group, structure or list."""

from __future__ import annotations

from functools import cache

from stillroom.substances.hazards.structure import any_of, is_halide_salt, reactive_groups, smiles_of
from stillroom.substances.hazards.tables import by_cas, sidecar

__all__ = ["classes_of", "is_corrosive", "is_organic"]


def is_organic(cas: str) -> bool:
    """Whether it is organic matter that an oxidiser can set on fire.

    A carbon atom with hydrogen, or two carbon atoms together, outside cyanides, carbonates, formates' and
    acetates' metal salts; the mixtures of solvents and oils in our list count as organic.
    """
    if cas in by_cas("known"):
        return 101 in reactive_groups(cas) or "oil" in by_cas("known")[cas]["name"]
    smiles = smiles_of(cas)
    return any_of(smiles, ("[#6;!H0]", "[#6]~[#6]", "[#6]=[S]")) and not any_of(
        smiles, ("[Na+,K+,Ca+2,Mg+2,NH4+].[#6]", "[#6](F)(F)(F)[#6](F)F")
    )


@cache
def classes_of(cas: str) -> tuple[str, ...]:
    """The storage classes of a substance that do not depend on its strength, sorted."""
    smiles, groups = smiles_of(cas), set(reactive_groups(cas))
    found = {"organic"} if is_organic(cas) else set()
    for name, rule in sidecar("classes")["class"].items():
        if cas in rule.get("unless_cas", ()) or (rule.get("no_salt") and is_halide_salt(smiles)):
            continue
        if cas in rule.get("cas", ()):
            found.add(name)
            continue
        shown = groups.intersection(rule.get("groups", ())) or any_of(smiles, rule.get("smarts", ()))
        if shown and not any_of(smiles, rule.get("unless", ())):
            found.add(name)
    found.update(word for word, finer in sidecar("classes")["umbrella"].items() if found.intersection(finer))
    return tuple(sorted(found))


def is_corrosive(cas: str, classes: tuple[str, ...], mass_fraction: float | None) -> bool:
    """Whether it burns the skin at this mass fraction [-]; an unstated strength counts as strong.

    Listed substances by their concentration limit in Annex VI [clp]; others by class, from the generic 5 %.
    """
    row = by_cas("corrosive").get(cas)
    strength = 1.0 if mass_fraction is None else mass_fraction
    if row:
        return strength >= float(row["from_mass_fraction"])
    strong = {"strong acid", "strong base", "acid chloride or anhydride"}
    return bool(strong.intersection(classes)) and strength >= 0.05
