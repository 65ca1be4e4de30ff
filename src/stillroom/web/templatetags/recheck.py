"""A cabinet's banner: its validation is past its date, or made with what has changed since."""

from __future__ import annotations

from typing import Any

from django import template
from django.utils import timezone

from stillroom.records.models import Cabinet
from stillroom.web.recheck.rows import standing_row

register = template.Library()


@register.inclusion_tag("recheck/banner.html")
def recheck_banner(cabinet: Cabinet) -> dict[str, Any]:
    """``{% load recheck %}{% recheck_banner cabinet %}``; nothing where there is nothing to say."""
    return {"row": standing_row(cabinet, timezone.localdate())}
