"""The organisation's events, newest first."""

from django.core.paginator import Paginator

from stillroom.records import trail
from stillroom.web.shared.doors import page, show
from stillroom.web.trail.context import TrailContext

ON_A_PAGE = 50


@page("GET")
def trail_page(request):
    organisation = request.membership.organisation
    pages = Paginator(trail.events(organisation), ON_A_PAGE)
    context = TrailContext(events=pages.get_page(request.GET.get("page")), head=trail.head(organisation))
    return show(request, "trail/page.html", context)
