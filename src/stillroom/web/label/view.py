"""What the code on a door label leads to: what the label shows, and whether it still holds. Without log-in."""

import datetime

from django.contrib.auth.decorators import login_not_required
from django.http import Http404
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from stillroom.records.tenancy import by_label_token
from stillroom.services.sign import APPROVING, record_of
from stillroom.services.standing import state_of
from stillroom.web.label.context import LabelContext
from stillroom.web.shared.doors import show


@login_not_required
@require_safe
def label(request, token: str):
    row = by_label_token(token)
    if row is None:
        raise Http404
    record = record_of(row)
    approved = record["verdict"] in APPROVING
    context = LabelContext(
        validation=row,
        state=state_of(row, timezone.localdate()),
        inside=sorted(
            (item["name"], item["containers"])
            for item in record["substances"]
            if item["verdict"] in APPROVING
        )
        if approved
        else [],
        conditions=record["conditions"] if approved else [],
        facts=_facts(record) if approved else [],
        invented=bool(record["invented"]),
        approved=approved,
    )
    response = show(request, "label/page.html", context)
    response["X-Robots-Tag"] = "noindex, nofollow"
    return response


def _facts(record):
    detector = record["cabinet"].get("detector") or _("visits only: this cabinet has no detector")
    return [
        (_("Filter until"), _day(record["life_ends"])),
        (_("Next visit"), _day(record["visit"]["next_visit"])),
        (_("Saturation is noticed by"), detector),
    ]


def _day(text):
    return date_format(datetime.date.fromisoformat(text), "j F Y") if text else _("not given")
