"""What the gate and the neighbours need to know of a substance, in one call."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from stillroom.substances.model import Hazards

__all__ = ["hazards"]


@lru_cache(maxsize=4096)
def hazards(cas: str, *, mass_fraction: float | None = 1.0, state: str = "") -> Hazards:
    """Admission, reactive groups and storage classes of a substance at one strength.

    Parameters
    ----------
    cas : str
        CAS number; one that no list and no structure knows gives Admission.UNKNOWN.
    mass_fraction : float or None
        Mass fraction in what the bottle holds [-]; None where it is not known.
    state : str
        "liquid", "solid", "gas", "solution" or empty.

    Returns
    -------
    Hazards
        With reasons and sources; never ordinary for want of knowledge.

    Examples
    --------
    >>> hazards("1333-74-0").admission
    <Admission.REFUSED: 'refused'>
    >>> hazards("50-00-0", mass_fraction=0.37, state="solution").medium_family
    'formaldehyde'
    """
    from stillroom.substances.hazards.admission import admit
    from stillroom.substances.hazards.flammables import flammable_category
    from stillroom.substances.hazards.peroxides import peroxide_note
    from stillroom.substances.hazards.storage import classes_of, is_corrosive
    from stillroom.substances.hazards.structure import reactive_groups
    from stillroom.substances.kin import kin_of

    kin = kin_of(cas)
    if kin is not None and kin.kind == "deuterated":  # the lists know the parent alone; D reacts as H does
        return replace(hazards(kin.parent, mass_fraction=mass_fraction, state=state), cas=cas)
    answer = admit(cas, mass_fraction=mass_fraction, state=state)
    classes = classes_of(cas)
    flammable = flammable_category(cas, mass_fraction=mass_fraction) if answer.known else ""
    former = peroxide_note(cas)
    extra = {*classes, *answer.classes}
    if flammable:
        extra.add("combustible liquid" if flammable == "4" else "flammable")
    if former:
        extra.add("peroxide former")
    notes = [*answer.notes, *([former] if former else [])]
    return Hazards(
        cas=cas,
        admission=answer.admission,
        admission_reasons=answer.reasons,
        sources=answer.sources,
        medium_family=answer.family,
        reactive_groups=reactive_groups(cas) if answer.known else (),
        storage_classes=tuple(sorted(extra)),
        peroxide_former=bool(former),
        corrosive=is_corrosive(cas, classes, mass_fraction),
        flammable_category=flammable,
        notes=tuple(notes),
    )
