"""May it be here at all? Contents known, limit known, medium there."""

from __future__ import annotations

import csv
from dataclasses import replace
from functools import cache
from importlib import resources

from stillroom.assessment.case import Case, Subject, concentration
from stillroom.assessment.result import Finding
from stillroom.inventory.model import Container
from stillroom.media.model import FilterStack
from stillroom.sources import Missing, Sourced
from stillroom.substances.hazards import refused_by_words
from stillroom.substances.limits import nuisance_dust
from stillroom.substances.model import Admission, Limit, Ordering
from stillroom.units import GAS_CONSTANT

__all__ = ["contents", "lend_surrogate", "limit", "medium", "refusal", "saturated_over_criterion"]

_NOT_LOW_TOXICITY = {"toxic", "highly toxic", "carcinogen", "sensitiser", "explosive"}
STRICTEST_BAND_MG_M3 = 0.01
"""What a solid without any limit is judged by [mg/m³]: the line between bands D and E for particles (NIOSH occupational exposure
banding, publication 2019-132: D above 0.01, E 0.01 and less); the condition keeps band E's substances out: docs/decisions/0025-banding.md."""
_BAND = "banding"
_MAY_GIVE_GAS = {"oxidiser", "hypochlorite", "sulphide", "cyanide"}
"""Involatile themselves, but a gas comes off them with time, carbon dioxide of the air or acid: no limit, no approval."""


def contents(container: Container) -> Finding | None:
    """Refuse what nobody knows, and what its own label says must not be here."""
    words = " ".join((container.name, container.note, container.state))
    refused = refused_by_words(words)
    if refused:
        return Finding("not approved", refused)
    if not container.known:
        why = container.unknown_reason or "the contents are not identified"
        return Finding("not approved", f"Contents unknown: {why}. Unknown contents are never approved.")
    return None


def refusal(subject: Subject) -> Finding | None:
    """What such a cabinet must not hold whatever its filter."""
    if subject.hazards.admission is Admission.REFUSED:
        return Finding(
            "not approved", " ".join(subject.hazards.admission_reasons), sources=subject.hazards.sources
        )
    if subject.hazards.admission is Admission.UNKNOWN:
        why = " ".join(subject.hazards.admission_reasons) or "nothing is known of its hazards."
        return Finding("not approved", f"Hazards unknown: {why} Unknown is never approved.")
    return None


def medium(subject: Subject, stack: FilterStack, *, saturated_fraction: float | None) -> Finding | None:
    """Is a medium there that is characterised for it, where plain carbon does not hold it?

    Parameters
    ----------
    subject : Subject
    stack : FilterStack
    saturated_fraction : float or None
        Air saturated over the contents, over the criterion of normal storage [-]; None where unknown.
    """
    if subject.hazards.admission is not Admission.NEEDS_MEDIUM:
        return None
    family = subject.hazards.medium_family
    reasons = " ".join(subject.hazards.admission_reasons)
    for bed in stack.beds:
        for impregnation in bed.medium.impregnations:
            if impregnation.family == family:
                return Finding(
                    "approved with conditions",
                    f"{reasons} The stack holds {bed.medium.title}, characterised for {family}.",
                    condition=f"The bed of {bed.medium.title} stays in the stack and is replaced in time.",
                    sources=(impregnation.capacity.source,),
                )
    if saturated_fraction is not None and saturated_fraction < 1.0:
        return Finding(
            "approved",
            f"{reasons} Here it is so dilute that even air saturated over it holds less than the criterion of "
            "normal storage: no such medium is needed.",
        )
    return Finding(
        "not approved",
        f"{reasons} The filter stack holds no medium characterised for {family}; plain carbon is not.",
        sources=subject.hazards.sources,
    )


def lend_surrogate(subject: Subject, case: Case) -> Subject:
    """A solid that gives no vapour and has no limit borrows one; nothing else borrows.

    One of known low toxicity borrows the limit for nuisance dust: each chosen list offers its first 8-hour value (total or
    inhalable dust), and the site's ordering chooses among them. Any other borrows the strictest band's.
    """
    if subject.limits.criterion is not None:
        return subject
    if not _is_plain_dust(subject):
        return replace(subject, surrogate=_strictest_band(subject)) if _is_quiet_solid(subject) else subject
    offers = [
        next((lent for lent in nuisance_dust(key) if lent.basis == "TWA"), None) for key in case.list_keys
    ]
    lent = [offer for offer in offers if offer is not None]
    if not lent:
        return subject
    chosen = lent[0] if case.ordering is Ordering.FIRST else min(lent, key=lambda offer: offer.value)
    return replace(subject, surrogate=chosen)


@cache
def _low_toxicity() -> frozenset[str]:
    """CAS numbers of solids whose dust is known to be of low toxicity; absence is not low toxicity."""
    file = resources.files("stillroom.substances") / "data" / "low_toxicity_dust.csv"
    return frozenset(row["cas"] for row in csv.DictReader(file.read_text("utf-8").splitlines()))


def _is_quiet_solid(subject: Subject) -> bool:
    """Known to be a solid, to give no vapour, and to be none of what is toxic or gives gas off."""
    return (
        subject.involatile
        and not _is_liquid(subject)
        and subject.hazards.admission is Admission.ORDINARY
        and not (_NOT_LOW_TOXICITY | _MAY_GIVE_GAS) & set(subject.hazards.storage_classes)
    )


def _is_liquid(subject: Subject) -> bool:
    """Known to be a liquid, by its melting point or because all that is stored of it is liquid. Unknown is taken as a solid: it may dust."""
    return subject.properties.phase == "liquid" or all(
        item.state in ("liquid", "solution") for item in subject.containers
    )


def _strictest_band(subject: Subject) -> Limit:
    return Limit(
        cas=subject.cas,
        name=subject.substance.name,
        list=_BAND,
        edition="2019-132",
        basis="TWA",
        value=STRICTEST_BAND_MG_M3,
        unit="mg/m3",
        fraction="total",
        minutes=480.0,
        source="niosh-banding-2019",
        locator="band E, particles",
    )


def _is_plain_dust(subject: Subject) -> bool:
    return (
        subject.cas in _low_toxicity()
        and subject.involatile
        and subject.hazards.admission is Admission.ORDINARY
        and not _NOT_LOW_TOXICITY & set(subject.hazards.storage_classes)
    )


def limit(subject: Subject, case: Case) -> Finding:
    """Which limit applies, or why none does. Without a limit there is no approval, but for what gives no vapour.

    Notes
    -----
    A liquid or solution whose substance gives no vapour and which is not toxic needs no limit: nothing of it
    reaches the air. Everything else without a limit is refused: enter one with its source.
    """
    names = ", ".join(case.list_keys)
    criterion = subject.criterion
    if criterion is not None:
        what = f"as {criterion.measured_as}, " if criterion.measured_as else ""
        basis = {"TWA": "8-hour limit", "STEL": "15-minute limit", "C": "ceiling"}[criterion.basis]
        words = f"Limit: {what}{basis} {criterion.value:g} {criterion.unit} ({criterion.list}, {criterion.edition})."
        if subject.surrogate is not None and criterion.list == _BAND:
            return Finding(
                "approved with conditions",
                f"None of the chosen lists ({names}) has a limit for it. As a solid that gives no vapour it is judged by the "
                f"strictest band for particles without a limit, {criterion.value:g} mg/m³.",
                condition=(
                    f"{subject.substance.name}: its safety data sheet names no exposure limit (section 8), and none of H300, H310, "
                    "H330, H334, H340, H350, H360, H370 and H372 (section 2); if it does, that limit is entered and it is assessed again."
                ),
                sources=(criterion.source,),
            )
        if subject.surrogate is not None:
            words = (
                f"None of the chosen lists ({names}) has a limit for it. As an involatile solid of low toxicity it is "
                f"judged by the limit for nuisance dust, {criterion.value:g} mg/m³ ({criterion.list})."
            )
        told = (
            subject.limits.reasons
            if criterion.basis != "TWA" or criterion.measured_as or criterion.printed_for
            else ()
        )
        by_hand = tuple(
            reason for reason in subject.limits.reasons if "by hand" in reason and reason not in told
        )
        return Finding("approved", " ".join((words, *told, *by_hand)), sources=(criterion.source,))
    toxic = (_NOT_LOW_TOXICITY | _MAY_GIVE_GAS) & set(subject.hazards.storage_classes)
    if subject.involatile and _is_liquid(subject) and not toxic:
        return Finding(
            "approved", f"No limit in {names}; it gives no vapour at room temperature, so none is needed."
        )
    if subject.involatile and not toxic and all(item.state == "solution" for item in subject.containers):
        return Finding("approved", f"No limit in {names}; in solution it gives neither vapour nor dust.")
    return Finding(
        "not approved",
        f"No exposure limit in the chosen lists ({names}) and no defensible surrogate. "
        "Enter a limit with its source, for instance from section 8 of the safety data sheet.",
    )


def saturated_over_criterion(subject: Subject, pressure: Sourced | Missing, case: Case) -> float | None:
    """Air saturated over the contents over the criterion of normal storage [-]; None where unknown."""
    if subject.criterion is None or not isinstance(pressure, Sourced):
        return None
    allowed = concentration(subject.criterion, subject, case.room)
    if allowed is None:
        return None
    mole_fraction = pressure.value / case.room.pressure
    total = case.room.pressure / (GAS_CONSTANT * case.room.temperature)
    return mole_fraction * total / (allowed * case.room.rules.criterion_fraction)
