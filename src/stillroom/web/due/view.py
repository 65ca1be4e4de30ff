"""What is due, as a page, as files to take along, and as a calendar at a private address."""

from __future__ import annotations

import datetime
from urllib.parse import urlencode

from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from stillroom.services.due import Due, due, in_use
from stillroom.services.due_address import give_address, has_address, member_at, take_back
from stillroom.services.due_files import as_calendar, as_csv, as_xlsx
from stillroom.services.spares import spares
from stillroom.web.due.context import DueContext, Line, Part
from stillroom.web.due.links import link, links_at
from stillroom.web.shared.address import base_url
from stillroom.web.shared.doors import page, show

__all__ = ["due_address", "due_feed", "due_file", "due_page"]

_SHOWN = "90"
"""Days ahead that are shown where nothing is chosen: common practice, no source."""
_CHOICES = ("30", "90", "365", "all")
_FEED_DAYS = 400
"""Days ahead that the calendar holds."""
_XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@page("GET")
def due_page(request):
    return _shown(request)


@require_http_methods(["GET", "HEAD", "POST"])
def due_address(request):
    """A POST gives the person a new calendar address, or takes it back: a reader's own affair too."""
    if not request.membership:
        raise PermissionDenied
    if request.method != "POST":
        return redirect("due")
    organisation = request.membership.organisation
    if "take_back" in request.POST:
        take_back(organisation, request.user)
        return redirect("due")
    token = give_address(organisation, request.user)
    return _shown(request, base_url(request) + reverse("due-feed", kwargs={"token": token}))


@page("GET")
def due_file(request, kind: str):
    """``due.csv`` or ``due.xlsx``, with what the page shows."""
    if kind not in ("csv", "xlsx"):
        raise Http404
    days = _within(request)[1]
    now = timezone.now()
    today, site = timezone.localdate(), _site(request)
    kept = in_use(request.membership.organisation, site=site)
    every = due(request.membership.organisation, today=today, site=site, kept=kept)
    items = [item for item in every if days is None or item.days <= days]
    links = links_at(base_url(request))
    if kind == "csv":
        content = as_csv(items, link=links)
    else:
        order = spares(kept, every, today=today, days=_ahead(days))
        content = as_xlsx(items, link=links, made=now, order=order)
    response = HttpResponse(content, content_type="text/csv; charset=utf-8" if kind == "csv" else _XLSX)
    response["Content-Disposition"] = f'attachment; filename="due-{timezone.localdate()}.{kind}"'
    return response


@login_not_required
@require_safe
def due_feed(request, token: str):
    """The calendar of whoever has this address; one that was taken back is as absent as one that never was."""
    membership = member_at(token)
    if membership is None:
        raise Http404
    today, organisation = timezone.localdate(), membership.organisation
    content = as_calendar(
        due(organisation, today=today, within_days=_FEED_DAYS),
        stamp=timezone.now(),
        today=today,
        name=_("Due: %s") % organisation.name,
        link=links_at(base_url(request)),
    )
    response = HttpResponse(content, content_type="text/calendar; charset=utf-8")
    response["Content-Disposition"] = 'inline; filename="due.ics"'
    return response


def _within(request) -> tuple[str, int | None]:
    asked = request.GET.get("within", _SHOWN)
    within = asked if asked in _CHOICES else _SHOWN
    return within, None if within == "all" else int(within)


def _site(request) -> str | None:
    """The site that is asked for; a cabinet may stand at one without a name."""
    return request.GET.get("site")


def _ahead(days: int | None) -> int:
    """Days ahead for which spares are told; a year where everything is shown."""
    return 365 if days is None else days


def _sites(names: list[str], chosen: str | None, within: str) -> list[tuple[str, str, bool]]:
    every = [(urlencode({"within": within}), _("all"), chosen is None)]
    one = [
        (urlencode({"within": within, "site": name}), name or _("no site"), name == chosen) for name in names
    ]
    return every + one


def _shown(request, address: str = ""):
    within, days = _within(request)
    organisation, today, site = request.membership.organisation, timezone.localdate(), _site(request)
    kept = in_use(organisation)
    sites = sorted({one.cabinet.site for one in kept})
    if site is not None:
        kept = [one for one in kept if one.cabinet.site == site]
    every = due(organisation, today=today, site=site, kept=kept)
    items = [item for item in every if days is None or item.days <= days]
    words = {"30": _("30 days"), "90": _("90 days"), "365": _("a year"), "all": _("everything")}
    context = DueContext(
        parts=_parts(items, today),
        choices=[(value, words[value], value == within) for value in _CHOICES],
        within=within,
        later=len(every) - len(items),
        address=address,
        has_address=bool(address) or has_address(organisation, request.user),
        sites=_sites(sites, site, within) if len(sites) > 1 else (),
        query="" if site is None else "&" + urlencode({"site": site}),
        spares=spares(kept, every, today=today, days=_ahead(days)),
    )
    return show(request, "due/page.html", context)


def _parts(items: list[Due], today: datetime.date) -> list[Part]:
    lines = [Line(item, link(item), -item.days) for item in items]
    parts = [
        Part(_("Overdue"), [line for line in lines if line.item.overdue]),
        Part(_("Today"), [line for line in lines if line.item.date == today]),
        Part(_("Coming"), [line for line in lines if line.item.date > today]),
    ]
    return [part for part in parts if part.lines]
