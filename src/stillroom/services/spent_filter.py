"""Tell what a spent filter holds: grams by substance, hazards, and what to ask before it is disposed of."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from stillroom.assessment.points import drawn_again
from stillroom.records.models import Cabinet, FilterChange, Validation
from stillroom.services.assess import typed_limits
from stillroom.services.computed import computed
from stillroom.services.forecast import differences, record_beds
from stillroom.services.in_place import asked_of, filter_before, without_past
from stillroom.services.reading import Asked
from stillroom.substances import name_of
from stillroom.substances.hazards import hazards as hazards_of

__all__ = ["Held", "held_by", "spent_filter", "spent_sheet"]

Array = NDArray[np.float64]
_DAY = 86400.0


@dataclass(frozen=True, slots=True, eq=False)
class Held:
    """What one filter has taken up; arrays over the draws, (size,)."""

    total: dict[str, Array]
    """CAS number → grams"""
    room: dict[str, Array]
    """the part of it that the room's own air brought [g]"""
    unknown: dict[str, str]
    """CAS number → why its amount is not known"""
    dust: tuple[str, ...]
    """solids whose dust the particulate filter may hold, by CAS number"""
    draws: int = 0


def held_by(asked: Asked, days: float) -> Held:
    """What the filter of an assessment holds after so many days of normal storage.

    Parameters
    ----------
    asked : Asked
    days : float
        Since it was put in [days].

    Notes
    -----
    In every draw: what was fed to each bed, by emission and by the room's air, less what it let through; so never more
    than its capacity. The same draws as the assessment's. Validity: steady release, no roll-up, no spill.
    """
    first = computed(
        asked.inventory,
        asked.cabinet,
        asked.room,
        seed=asked.seed,
        draws=asked.draws,
        hand_limits=[*typed_limits(asked.room), *asked.hand_limits],
    )
    vapours, inlet = drawn_again(first.staying)
    grams = vapours.stack.held(np.array([days * _DAY]), inlet)[0] * vapours.stack.arrays.molar_mass
    share = np.where(inlet > 0.0, vapours.background / np.where(inlet > 0.0, inlet, 1.0), 0.0)
    unknown = dict(vapours.missing) | {
        cas: why for cas, why in vapours.stack.missing.items() if cas in vapours.cas
    }
    return Held(
        total={cas: grams[place] for place, cas in enumerate(vapours.cas)},
        room={cas: share[place] * grams[place] for place, cas in enumerate(vapours.cas)},
        unknown=unknown,
        dust=vapours.dust_cas,
        draws=vapours.size,
    )


def spent_filter(change: FilterChange) -> dict[str, Any]:
    """All that is known of the filter that a change took out, as one JSON-able document.

    Parameters
    ----------
    change : FilterChange
        The one that took it out.
    """
    cabinet: Cabinet = change.cabinet
    before = filter_before(change)
    since = before.since
    parts = _segments(cabinet, since, change.on) if since else []
    beds = before.change.stack if before.change else record_beds(parts[-1][0]) if parts else []
    sheet: dict[str, Any] = {
        "schema": "stillroom-spent/1",
        "number": change.key,
        "date": change.on.isoformat(),
        "since": since.isoformat() if since else "",
        "since_words": before.words,
        "days": (change.on - since).days if since else None,
        "cabinet": {name: getattr(cabinet, name) for name in ("name", "serial", "site", "room", "place")},
        "by": change.by,
        "beds": beds,
    }
    held = [held_by(without_past(asked_of(row.assessment, change.on)), days) for row, days in parts]
    sheet["unlike"] = _unlike(beds, parts) if before.change else ""
    sheet["draws"] = max((item.draws for item in held), default=0)
    sheet["invented"] = any(bool(row.assessment.inputs.get("invented")) for row, _ in parts)
    sheet["validations"] = [
        {"number": row.number, "days": days, "by": row.signer_name} for row, days in parts
    ]
    return sheet | spent_sheet(held, beds, change.removed_mass_g, names=_names(parts))


def _unlike(put_in: list[dict[str, Any]], parts: list[tuple[Validation, float]]) -> str:
    """How the beds put in differ from those that the grams are computed for; empty where they do not."""
    found: dict[str, None] = {}
    for row, _ in parts:
        validated = record_beds(row)
        more = [words.replace("were validated", "are in it") for words in differences(validated, put_in)]
        told = differences(put_in, validated) or [f"validated: {words}" for words in more]
        found |= dict.fromkeys(f"V{row.number}: {words}" for words in told)
    if not found:
        return ""
    return (
        f"{'; '.join(found)}. The grams are computed for the beds that were validated, so they may be other than what is in it: "
        "weigh the cartridges"
    )


def spent_sheet(
    held: list[Held], beds: list[dict[str, Any]], removed_g: float | None, *, names: dict[str, str]
) -> dict[str, Any]:
    """Grams, hazards, weighing and questions of what one filter held, one `Held` for each validation in its time.

    Parameters
    ----------
    held : list of Held
    beds : list of dict
        As put in: ``medium``, ``weighed_g`` [g].
    removed_g : float or None
        Weight of all cartridges taken out [g].
    names : dict
        CAS number to name.
    """
    order = list(dict.fromkeys(cas for item in held for cas in item.total))
    total = {cas: _sum(held, "total", cas) for cas in order}
    room = {cas: _sum(held, "room", cas) for cas in order}
    unknown = {cas: why for item in held for cas, why in item.unknown.items()}
    dust = list(dict.fromkeys(cas for item in held for cas in item.dust))
    known = [cas for cas in order if cas not in unknown]
    rows = [
        {
            "cas": cas,
            "name": names.get(cas) or name_of(cas),
            "grams": None if cas in unknown else _span(total[cas]),
            "room_share": None if cas in unknown else _share(room[cas], total[cas]),
            "unknown": unknown.get(cas, ""),
            "dust": False,
            **_hazards(cas),
        }
        for cas in sorted(order, key=lambda cas: (cas in known, -float(np.median(total[cas]))))
    ]
    rows += [
        {
            "cas": cas,
            "name": names.get(cas) or name_of(cas),
            "grams": None,
            "room_share": None,
            "unknown": "",
            "dust": True,
            **_hazards(cas),
        }
        for cas in dust
        if cas not in order
    ]
    everything = sum((total[cas] for cas in known), np.zeros(1))
    classes = {name for row in rows for name in row["classes"]}
    return {
        "substances": rows,
        "total_g": _span(np.asarray(everything)) if held else None,
        "weighing": _weighing(beds, removed_g, np.asarray(everything) if held else None),
        "questions": _questions(classes, beds, bool(dust), any(row["peroxide_former"] for row in rows)),
        "sources": list(_SOURCES),
    }


_OSHA = "US Occupational Safety and Health Administration, Fire hazard from carbon adsorption deodorizing systems, 30 July 1997 (organic sulphur compounds and turpentine; ketones, aldehydes, organic acids from memory of it)"
_FIRES = "Zerbonia, Brockmann, Peterson, Housley, Carbon bed fires and the use of carbon canisters …, Journal of the Air & Waste Management Association 51 (2001) 1617–1627"
_SOURCES = (
    _OSHA,
    _FIRES,
    "Waste codes and the transport number: from memory, to be checked against the local list",
)
_WARM = {
    "ketone",
    "aldehyde",
    "thiol",
    "organic acid",
    "terpene or unsaturated oil",
    "acetone",
    "acetaldehyde",
    "formaldehyde",
}
_ATTACKS = {
    "oxidiser",
    "oxidising acid",
    "nitric acid",
    "halogen",
    "organic peroxide",
    "hydrogen peroxide",
    "hypochlorite",
    "chlorate",
    "perchlorate",
    "permanganate",
}


def _questions(classes: set[str], beds: list[dict[str, Any]], dust: bool, peroxides: bool) -> list[str]:
    """What the competent person must answer; each begins with its matter."""
    warm = sorted(classes & _WARM)
    attacks = sorted(classes & _ATTACKS)
    found = [
        "Fire: where does it stand until it is fetched? Carbon that holds vapours can heat up by itself when air meets it, "
        "above all in bulk, warm, or soon after a large load; cool, closed and apart from what burns is the usual answer."
        + (f" This one holds {', '.join(warm)}: kinds named for heating carbon beds." if warm else ""),
        "Vapours: is it sealed air-tight at once? What is held comes off again, the light ones first and faster when it is warm; "
        "open it under extraction only.",
        "Waste: is it hazardous waste here, and under which entry? In the European list 15 02 02* or 06 13 02*, in the United States "
        "by what it holds (40 CFR 261); self-heating carbon may be UN 1362 on the road. Local rules prevail.",
        "Health: what do the safety data sheets add that this table does not sort by (cancer, reproduction, sensitisation)?",
        "Spills: did a bottle break or leak in its time? That is not counted in the grams above; add it.",
    ]
    if attacks:
        found.append(
            f"Oxidisers: {', '.join(attacks)} may have met the carbon: must it be kept wet or apart?"
        )
    if peroxides:
        found.append(
            "Peroxide formers are on it: how long may it be kept before it is destroyed, and must it not dry out?"
        )
    if any("impregnated" in bed["medium"] for bed in beds):
        found.append(
            "Impregnated carbon: what is the impregnant, and does it make the carbon hazardous by itself?"
        )
    if "mercury" in classes:
        found.append("Mercury: it must not be burned or reactivated with other carbon; who takes it?")
    if dust:
        found.append(
            "Dust: the particulate filter may hold solids of the list; is it bagged out without shaking, and disposed of with them?"
        )
    found.append("Reactivation: may it be reactivated at all, or must it be destroyed?")
    return found


def _weighing(beds: list[dict[str, Any]], removed_g: float | None, computed: Array | None) -> dict[str, Any]:
    """The gain on a balance against what was computed."""
    put_in = [float(bed.get("weighed_g") or 0.0) for bed in beds]
    before = sum(put_in) if put_in and all(put_in) else None
    gain = removed_g - before if removed_g is not None and before is not None else None
    if gain is None or computed is None:
        words = "No gain can be told: the cartridges were not weighed both before and after, or nothing was computed."
    else:
        low, high = np.quantile(computed, (0.05, 0.95))
        carbon = 1e3 * sum(float(bed["mass_kg"]) for bed in beds)
        words = _gain_words(gain, float(low), float(high), carbon)
    return {"before_g": before, "after_g": removed_g, "gain_g": gain, "words": words}


def _gain_words(gain: float, low: float, high: float, carbon: float) -> str:
    if gain < low:
        return (
            "It gained less than the vapours computed: less came to it than was thought (a cap tighter, a fan that stood still, a by-pass), "
            "or the carbon dried."
        )
    if gain <= high:
        return "It gained what was computed."
    return (
        f"It gained {gain - high:.0f} g more than the vapours computed. Carbon also takes water from the room's air, up to some "
        f"tenths of its own mass above 60 % relative humidity (it is {carbon / 1e3:.1f} kg); a spill or a room dirtier than stated would show so too."
    )


def _hazards(cas: str) -> dict[str, Any]:
    found = hazards_of(cas, mass_fraction=1.0, state="")
    words = []
    if found.flammable_category:
        words.append(
            f"flammable liquid, category {found.flammable_category}"
            if found.flammable_category != "4"
            else "combustible liquid"
        )
    classes = set(found.storage_classes)
    words += [name for name in sorted(classes) if name in _SAID]
    if found.corrosive:
        words.append("corrosive")
    if found.peroxide_former:
        words.append("forms peroxides")
    words += [f"unknown: {reason}" for reason in found.admission_reasons if str(found.admission) == "unknown"]
    return {
        "hazards": words,
        "classes": sorted(classes),
        "peroxide_former": found.peroxide_former,
    }


_SAID = {
    "toxic", "oxidiser", "oxidising acid", "strong acid", "strong base", "organic acid", "ketone", "aldehyde", "thiol", "cyanide",
    "sulphide", "halogenated solvent", "mercury", "heavy metal", "arsenic compound", "organic peroxide", "halogen", "polymerisable",
    "isocyanate", "hydrazine", "nitrile", "terpene or unsaturated oil", "carbon disulphide", "ammonia", "amine base",
}  # fmt: skip


def _segments(cabinet: Cabinet, since: datetime.date, until: datetime.date) -> list[tuple[Validation, float]]:
    """The approving validations in a filter's time, each with how many of its days it stood; the first from the start."""
    rows = cabinet.validations.filter(meaning=Validation.Meaning.APPROVED, signed_at__date__lte=until)
    rows = list(rows.select_related("assessment", "assessment__inventory").order_by("version"))
    starts = [max(row.signed_at.date(), since) for row in rows]
    ends = [*starts[1:], until]
    found = [[row, start, end] for row, start, end in zip(rows, starts, ends, strict=True) if end > start]
    if found:
        found[0][1] = since
    elif rows:
        found = [[rows[-1], since, until]]
    return [(row, float((end - start).days)) for row, start, end in found]


def _names(parts: list[tuple[Validation, float]]) -> dict[str, str]:
    return {
        item["cas"]: item["name"] for row, _ in parts for item in row.assessment.record.get("substances", [])
    }


def _sum(held: list[Held], part: str, cas: str) -> Array:
    """Sum over the validations; draws of different number are repeated."""
    found = [getattr(item, part)[cas] for item in held if cas in getattr(item, part)]
    size = max(values.size for values in found)
    return np.asarray(sum(np.resize(values, size) for values in found))


def _span(values: Array) -> dict[str, float]:
    low, middle, high = (float(f"{value:.4g}") for value in np.quantile(values, (0.05, 0.5, 0.95)))
    return {"p05": low, "p50": middle, "p95": high}


def _share(part: Array, whole: Array) -> float:
    """Median share of the room in it [-]."""
    return float(np.median(np.where(whole > 0.0, part / np.where(whole > 0.0, whole, 1.0), 0.0)))
