"""Send a fixed sensor's file."""

from django.shortcuts import redirect
from django.utils import timezone

from stillroom.errors import InputError
from stillroom.records.models import Cabinet, Instrument
from stillroom.records.tenancy import visible_or_404
from stillroom.services.in_place import beds_of, standing_in
from stillroom.services.visit import take_series
from stillroom.web.sensor.context import SensorContext
from stillroom.web.sensor.form import SensorForm
from stillroom.web.shared.doors import mine, page, posted, show
from stillroom.web.shared.when import latest_day

_NAMED = 200
"""Cells at fault that are shown one by one."""


@page("GET", "POST", writes=True)
def sensor(request, key: str):
    cabinet = visible_or_404(Cabinet, request.membership.organisation, key=key)
    beds = beds_of(standing_in(cabinet, timezone.localdate()))
    files = request.FILES if request.method == "POST" else None
    form = SensorForm(posted(request), files, instruments=mine(request, Instrument), beds=beds)
    problems, more = (), 0
    if request.method == "POST" and form.is_valid():
        try:
            taken = take_series(cabinet, request.user, until=latest_day(), **form.values())
        except InputError as error:
            problems, more = error.problems[:_NAMED], max(len(error.problems) - _NAMED, 0)
        else:
            return redirect("sensor-answer", number=taken.pk)
    context = SensorContext(cabinet=cabinet, form=form, problems=problems, more=more)
    return show(request, "sensor/page.html", context)
