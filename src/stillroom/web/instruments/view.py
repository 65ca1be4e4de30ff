"""The organisation's instruments and whether their calibrations hold."""

from django.utils import timezone

from stillroom.records.models import Instrument
from stillroom.services.instruments import calibration_on
from stillroom.web.instruments.context import InstrumentsContext
from stillroom.web.shared.doors import mine, page, show


@page("GET")
def instruments(request):
    today = timezone.localdate()
    rows = mine(request, Instrument).prefetch_related("calibrations")
    context = InstrumentsContext(
        instruments=[(row, calibration_on(row, today)) for row in rows],
        may_write=request.membership.may_write,
    )
    return show(request, "instruments/page.html", context)
