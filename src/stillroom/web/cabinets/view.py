"""The organisation's cabinets, and whether a validation stands for each."""

from django.utils import timezone

from stillroom.records.models import Cabinet
from stillroom.services.history import histories
from stillroom.services.in_place import standing
from stillroom.web.cabinets.context import CabinetsContext
from stillroom.web.shared.doors import mine, page, show


@page("GET")
def cabinets(request):
    today = timezone.localdate()
    kept = histories(mine(request, Cabinet)).values()
    context = CabinetsContext(
        cabinets=[
            (one.cabinet, found.row if found else None) for one in kept for found in [standing(one, today)]
        ],
        may_write=request.membership.may_write,
    )
    return show(request, "cabinets/page.html", context)
