"""The organisation's own events, newest first, and whether they are as they were written."""

from django.core.paginator import Paginator

from stillroom.records import trail
from stillroom.services.check_log import check_log, faulty
from stillroom.web.shared.doors import page, show
from stillroom.web.trail.context import TrailContext

ON_A_PAGE = 50


@page("GET")
def trail_page(request):
    organisation = request.membership.organisation
    pages = Paginator(trail.events(organisation), ON_A_PAGE).get_page(request.GET.get("page"))
    wrong = faulty(list(pages))
    context = TrailContext(
        events=pages,
        lines=[(event, wrong.get(event.seq, "")) for event in pages],
        wrong=len(wrong),
        head=trail.head(organisation),
        whole=check_log(organisation) if "whole" in request.GET else None,
    )
    return show(request, "trail/page.html", context)
