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


@page("GET", "POST", writes=True)
def sensor(request, key: str):
    cabinet = visible_or_404(Cabinet, request.membership.organisation, key=key)
    beds = beds_of(standing_in(cabinet, timezone.localdate()))
    files = request.FILES if request.method == "POST" else None
    form = SensorForm(posted(request), files, instruments=mine(request, Instrument), beds=beds)
    problems = ()
    if request.method == "POST" and form.is_valid():
        try:
            taken = take_series(cabinet, request.user, **form.values())
        except InputError as error:
            problems = error.problems
        else:
            return redirect("sensor-answer", number=taken.pk)
    return show(request, "sensor/page.html", SensorContext(cabinet=cabinet, form=form, problems=problems))
