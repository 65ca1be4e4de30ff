"""How pages print what the record holds: one way for each kind of number."""

from __future__ import annotations

import datetime
import math
import re
from typing import Any

from django import forms, template
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from stillroom.units import show

register = template.Library()

_DAY = re.compile(r"\b\d{4}-\d{2}-\d{2}\b")

_VERDICTS = {
    "approved": ("yes", lambda: _("Approved")),
    "approved with conditions": ("conditions", lambda: _("Approved with conditions")),
    "not approved": ("no", lambda: _("Not approved")),
    "cannot tell": ("unsure", lambda: _("Cannot tell")),
}


@register.inclusion_tag("base/field.html")
def field(bound: Any) -> dict[str, Any]:
    """A form field with label, hint, error and unit."""
    grouped = isinstance(bound.field.widget, forms.RadioSelect | forms.CheckboxSelectMultiple)
    parts = [f"{bound.auto_id}_helptext"] if bound.help_text else []
    parts += [f"{bound.auto_id}_error"] if bound.errors else []
    return {"field": bound, "grouped": grouped, "described": " ".join(parts)}


@register.filter
def verdict(words: str) -> str:
    """A verdict as people read it."""
    return _VERDICTS[words][1]() if words in _VERDICTS else str(words)


@register.filter
def verdict_class(words: str) -> str:
    """The class that gives a verdict's box its border."""
    return _VERDICTS[words][0] if words in _VERDICTS else "unsure"


@register.filter
def figure(value: Any) -> str:
    """A number with two significant digits; a word where there is none."""
    return _("not known") if value is None else show(float(value))


@register.filter
def money(value: float) -> str:
    """An amount in whole units, a thin space between thousands."""
    return f"{float(value):,.0f}".replace(",", "\u202f")


@register.filter
def percent(value: Any) -> str:
    """A fraction in per cent; under a thousandth of a per cent it is only said so."""
    if value is None:
        return _("not known")
    hundred = 100 * float(value)
    if 0 < hundred < 0.001:
        return _("under 0.001 %")
    return f"{show(hundred)} %"


@register.filter
def days(value: Any) -> str:
    """Days, rounded down: the cautious way."""
    return _("not within the time computed") if value is None else _("%d days") % math.floor(float(value))


@register.filter
def middle_percent(interval: Any) -> str:
    """The middle of an interval of fractions, and its ends."""
    return _span(interval, percent)


@register.filter
def middle_figure(interval: Any) -> str:
    """The middle of an interval, and its ends."""
    return _span(interval, figure)


@register.filter
def span_days(interval: Any) -> str:
    """An interval of days: the cautious end first, its bound where there is one; an end that is not reached is said so."""
    surely = interval.get("cautious", interval["p05"]) if interval else None
    if surely is None:
        return _("not within the time computed")
    low, middle = math.floor(surely), interval["p50"]
    if interval["p95"] is not None and math.floor(interval["p95"]) == low:
        return _("%d days") % low
    words = _("%d days") % math.floor(middle) if middle is not None else _("longer than was computed")
    return _("%(low)d days (middle: %(middle)s)") % {"low": low, "middle": words}


def _span(interval: Any, word: Any) -> str:
    if not interval or interval["p50"] is None:
        return _("not known")
    if interval["p05"] == interval["p95"] or interval["p05"] is None or interval["p95"] is None:
        return str(word(interval["p50"]))
    low, high = word(interval["p05"]).removesuffix(" %"), word(interval["p95"])
    return f"{word(interval['p50'])} ({low} – {high})"


@register.filter
def limit_figure(value: float) -> str:
    """A limit's value as printed."""
    return f"{value:g}"


@register.filter
def limit_unit(unit: str) -> str:
    return {"mg/m3": "mg/m³"}.get(unit, unit)


@register.filter
def limit_basis(basis: str) -> str:
    """What a limit is averaged over."""
    return {"TWA": _("8 hours"), "STEL": _("short term"), "C": _("ceiling")}.get(basis, basis)


@register.filter
def limit_words(limit: Any) -> str:
    """A limit of a record with unit, basis and what it counts."""
    if not limit:
        return _("no limit known")
    parts = [f"{limit['value']:g} {limit_unit(limit['unit'])}", limit_basis(limit["basis"])]
    parts += [limit["fraction"]] if limit["fraction"] else []
    parts += [_("as %s") % limit["measured_as"]] if limit["measured_as"] else []
    return ", ".join(parts)


@register.filter
def item(mapping: Any, key: str) -> Any:
    """A mapping's value."""
    return mapping.get(key, "") if mapping else ""


@register.filter
def clock(name: str) -> str:
    """What a clock waits for."""
    return {
        "limit": _("Limit: the exhaust passes the criterion"),
        "reserve": _("Reserve: the filter cannot take a broken bottle"),
        "saturation": _("Saturation: the marker vapour is through"),
        "age": _("Age: the longest interval"),
    }.get(name, name)


@register.filter
def dated(words: str) -> str:
    """Days that a record writes as 2026-11-28 as the pages write them: 28 November 2026."""
    return _DAY.sub(_spelled, str(words))


def _spelled(found: re.Match[str]) -> str:
    try:
        return date_format(datetime.date.fromisoformat(found[0]), "j F Y")
    except ValueError:
        return found[0]


@register.filter
def sentence(words: str) -> str:
    """Words of the record as a sentence of their own: a capital, unless a symbol begins them, a full stop, and days
    written as the pages write them."""
    words = dated(str(words).strip())
    if not words:
        return ""
    first = words.split()[0].rstrip(",.;:")
    symbol = not first.isalpha() or (len(first) == 1 and first != "a")
    start = words if symbol else words[:1].upper() + words[1:]
    return start if start[-1] in ".!?" else f"{start}."


@register.filter
def whereabouts(cabinet: Any) -> str:
    """Site, room, place and serial number of a cabinet, as far as they are known."""
    return " · ".join(filter(None, (cabinet.site, cabinet.room, cabinet.place, cabinet.serial)))
