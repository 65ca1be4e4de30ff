"""The answers so far, section by section, in words."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any

from django.utils.translation import gettext as _

from stillroom.room.model import SiteRules
from stillroom.web.by_hand.view import limit_line
from stillroom.web.rules.form import PERCENTS, RulesForm
from stillroom.web.shared.core import cabinet_of, inventory_of
from stillroom.web.templatetags.words import percent

__all__ = ["Section", "answers", "inventory_facts", "rules_in_words"]


@dataclass(frozen=True)
class Section:
    """One page's answers; `rows` is empty where it was not answered yet."""

    step: str
    title: str
    rows: list[tuple[str, str]]
    needed: bool = True


def answers(assessment) -> list[Section]:
    """Every section in the order of the pages."""
    inputs = assessment.inputs
    room = inputs.get("room", {})
    return [
        Section("inventory", _("Inventory"), inventory_facts(assessment)),
        Section("cabinet", _("Cabinet"), _cabinet(inputs.get("cabinet"))),
        Section("filters", _("Flow and filters"), _filters(inputs.get("cabinet"))),
        Section("room", _("Room"), _room(room)),
        Section("limits", _("Exposure limits"), _limits(room.get("limits", {}))),
        Section("by-hand", _("Limits of your own"), [(_("Limit"), limit_line(row)) for row in room.get("limit", [])],
                needed=False),
        Section("rules", _("Rules of the site"), rules_in_words(room["rules"]) if "rules" in room else []),
    ]  # fmt: skip


def inventory_facts(assessment) -> list[tuple[str, str]]:
    """The inventory that is kept, by file and number of containers; empty where there is none."""
    if not assessment.inventory:
        return []
    read = inventory_of(assessment)
    rows = [(_("File"), read.file or assessment.inventory.name)]
    rows += [(_("Containers"), str(sum(row.count for row in read.containers)))]
    unknown = sum(row.count for row in read.containers if not row.known)
    return rows + ([(_("of unknown contents"), str(unknown))] if unknown else [])


def _cabinet(tables: dict[str, Any] | None) -> list[tuple[str, str]]:
    if not tables:
        return []
    cabinet = tables["cabinet"]
    size = " × ".join(f"{cabinet[side]:g}" for side in ("width_m", "depth_m", "height_m"))
    shelves = sum(len(part["shelf"]) for part in tables["compartment"])
    return [
        (_("Name"), cabinet["name"]),
        (_("Width, depth, height"), f"{size} m"),
        (_("Shelves"), _("%(shelves)d in %(parts)d compartments") % {"shelves": shelves, "parts": len(tables["compartment"])}),
    ]  # fmt: skip


def _filters(tables: dict[str, Any] | None) -> list[tuple[str, str]]:
    if not tables:
        return []
    cabinet, filters = tables["cabinet"], tables["filters"]
    stack = cabinet_of(tables).filters
    rows = [(_("Air flow"), f"{cabinet['flow_m3_h']:g} m³/h")]
    rows += [(_("Particulate filter"), filters.get("particulate") or _("none"))]
    for n, bed in enumerate(stack.beds, 1):
        rows.append((_("Bed %d") % n, f"{bed.medium.title}, {bed.mass:g} kg, {bed.area:g} m²"))
    seal = stack.seal_bypass
    figures = {"middle": percent(seal.p50), "low": percent(seal.p05), "high": percent(seal.p95)}
    if "seal_bypass" in filters:
        words = _("%(middle)s (%(low)s to %(high)s), from: %(source)s") % (figures | {"source": seal.source})
    else:
        words = _("%(middle)s (%(low)s to %(high)s) assumed") % figures
    rows += [(_("Passes by the seals"), words)]
    rows += [(_("Longest filter interval"), _("%g days") % cabinet.get("max_filter_age_days", 365))]
    return [*rows, (_("Fixed detector"), cabinet.get("detector") or _("Not provided"))]


def _room(tables: dict[str, Any]) -> list[tuple[str, str]]:
    room = tables.get("room")
    if not room:
        return []
    if "background" not in tables:
        air = _("not known: 0.3 mg/m³ assumed, counted as toluene")
    else:
        air = ", ".join(f"{_named(row['cas'])} {row['mg_m3']:g} mg/m³" for row in tables["background"])
        air = air or _("nothing found")
    pressure = (
        f"{room['pressure_Pa'] / 100:g} hPa" if "pressure_Pa" in room else _("1013.25 hPa, at sea level")
    )
    given = room["relative_humidity"]
    humidity = "–".join(
        f"{100 * h:g}" for h in ((min(given), max(given)) if isinstance(given, list) else (given,))
    )
    return [
        (_("Name"), room["name"]),
        (_("Volume"), f"{room['volume_m3']:g} m³"),
        (_("Air changes an hour"), f"{room['air_changes_per_h']:g}"),
        (_("Temperature, humidity"), f"{room['temperature_C']:g} °C, {humidity} %"),
        (_("Air pressure"), pressure),
        (_("Room's own air"), air),
    ]


def _named(cas: str) -> str:
    from stillroom.substances import resolve

    found = resolve(cas=cas).substance
    return f"{found.name} ({cas})" if found else cas


def _limits(chosen: dict[str, Any]) -> list[tuple[str, str]]:
    from stillroom.substances.limits import lists

    if not chosen.get("lists"):
        return []
    known = {item.key: f"{item.title}, {item.edition}" for item in lists()}
    rows = [(str(n), known.get(key, key)) for n, key in enumerate(chosen["lists"], 1)]
    which = {"strictest": _("the strictest of them"), "first": _("the first that has one")}[
        chosen["ordering"]
    ]
    return [*rows, (_("What holds"), which)]


def rules_in_words(rules: dict[str, Any]) -> list[tuple[str, str]]:
    """Each rule of the site with its value; the label names the unit."""
    form = RulesForm.base_fields
    empty = {
        "response_minutes": _("a third of the time for cleaning up"),
        "marker_cas": _("the most weakly held of those that need the filter"),
        "flammables_litre_category_1": _("the table of 29 CFR 1910.106(d)(3)"),
        "flammables_litre_total": _("the table of 29 CFR 1910.106(d)(3)"),
    }
    return [
        (str(form[field.name].plain_label if field.name in empty else form[field.name].label),
         _rule(rules.get(field.name), field.name) or empty.get(field.name, _("Not provided")))
        for field in fields(SiteRules)
    ]  # fmt: skip


def _rule(value: Any, name: str) -> str:
    if value in (None, ""):
        return ""
    if isinstance(value, bool):
        return _("Yes") if value else _("No")
    if isinstance(value, str):
        return value
    return f"{round(100 * value, 9) if name in PERCENTS else value:g}"
