"""What the code on a door label leads to: what the label shows, and whether it still holds. Without log-in."""

import datetime

from django.contrib.auth.decorators import login_not_required
from django.shortcuts import render
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from stillroom.documents.label import why
from stillroom.records import keys, statement
from stillroom.records.tenancy import by_label_token
from stillroom.services.forecast import forecast
from stillroom.services.sign import APPROVING, record_of
from stillroom.services.standing import state_of
from stillroom.web.label.context import LabelContext
from stillroom.web.shared.doors import show
from stillroom.web.shared.pace import too_fast

MOST_A_MINUTE = 120
"""Times that one address may ask: a site behind one gateway is not locked out, a program that tries tokens is slowed."""


@login_not_required
@require_safe
def label(request, token: str):
    if too_fast(request, "label", most=MOST_A_MINUTE):
        words = _("Wait a minute, then open the label's page again.")
        return _plain(request, 429, _("Asked too often"), words)
    row = by_label_token(token)
    if row is None:
        words = _("No label has this address. Do not rely on the label; ask who answers for the cabinet.")
        return _plain(request, 404, _("No such label"), words)
    if statement.faults(row, keys.public_keys()):
        words = _("What is stored is not what was signed. Keep nothing in this cabinet until you have asked.")
        return _plain(request, 200, _("This label cannot be confirmed"), words)
    today, record = timezone.localdate(), record_of(row)
    approved = record["verdict"] in APPROVING
    state = state_of(row, today)
    doubt, sooner = in_place(row, record, today) if approved and state.holds else ("", "")
    context = LabelContext(
        validation=row,
        today=today,
        state=state,
        doubt=doubt,
        sooner=sooner,
        inside=sorted(
            (item["name"], item["containers"])
            for item in record["substances"]
            if item["verdict"] in APPROVING
        )
        if approved
        else [],
        conditions=record["conditions"] if approved else [],
        facts=_facts(record) if approved else [],
        why=[] if approved else why(record),
        invented=bool(record["invented"]),
        approved=approved,
    )
    response = show(request, "label/page.html", context)
    return _unlisted(response)


def in_place(row, record, today: datetime.date) -> tuple[str, str]:
    """What speaks against the filter that is in the cabinet now, and its date where that is sooner than the label's."""
    told = forecast(row.cabinet, today)
    if told.basis == "nothing":
        words = _("The filter in the cabinet is not the one that was validated, or it leaks.")
    elif told.by and told.by < today:
        words = _("Its filter was to be replaced by %(day)s.") % {"day": date_format(told.by, "j F Y")}
    elif told.readings == "inconsistent":
        words = _("The last readings do not fit what was assessed.")
    else:
        printed = record["life_ends"] if record["label_life_days"] is not None else None
        sooner = told.by and (not printed or told.by.isoformat() < printed)
        return "", date_format(told.by, "j F Y") if sooner else ""
    return words, ""


def _plain(request, status: int, title: str, words: str):
    response = render(request, "base/error.html", {"title": title, "words": words}, status=status)
    if status == 429:
        response["Retry-After"] = "60"
    return _unlisted(response)


def _unlisted(response):
    response["X-Robots-Tag"] = "noindex, nofollow"
    response["Referrer-Policy"] = "no-referrer"  # the address is the key to the page
    return response


def _facts(record):
    detector = record["cabinet"].get("detector") or _("visits only: this cabinet has no detector")
    known = record["label_life_days"] is not None
    return [
        (_("Filter until"), _day(record["life_ends"]) if known else _("not given: ask")),
        (_("Next visit"), _day(record["visit"]["next_visit"])),
        (_("Saturation is noticed by"), detector),
    ]


def _day(text):
    return date_format(datetime.date.fromisoformat(text), "j F Y") if text else _("not given")
