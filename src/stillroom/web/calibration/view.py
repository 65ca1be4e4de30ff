"""Enter a calibration of an instrument."""

from django.shortcuts import redirect
from django.utils import timezone

from stillroom.errors import InputError
from stillroom.records.models import Instrument
from stillroom.records.tenancy import visible_or_404
from stillroom.services.instruments import add_calibration
from stillroom.web.calibration.context import CalibrationContext
from stillroom.web.calibration.form import CalibrationForm
from stillroom.web.shared.doors import page, posted, show


@page("GET", "POST", writes=True)
def calibration(request, key: str):
    instrument = visible_or_404(Instrument, request.membership.organisation, key=key)
    form = CalibrationForm(
        posted(request), initial={"on": timezone.localdate(), "by": request.user.get_full_name()}
    )
    if request.method == "POST" and form.is_valid():
        try:
            add_calibration(instrument, request.user, **form.cleaned_data)
        except InputError as error:
            form.add_problems(error, field="due")
        else:
            return redirect("instrument", key=key)
    return show(request, "calibration/page.html", CalibrationContext(instrument=instrument, form=form))
