"""One instrument: new, to be looked at, or changed."""

from django.shortcuts import redirect
from django.utils import timezone

from stillroom.errors import InputError
from stillroom.records.models import Instrument
from stillroom.records.tenancy import visible_or_404
from stillroom.services.instruments import calibration_on, keep_instrument
from stillroom.web.instrument.context import InstrumentContext
from stillroom.web.instrument.form import InstrumentForm
from stillroom.web.shared.doors import page, posted, show


@page("GET", "POST", writes=True)
def instrument_new(request):
    return _page(request, None)


@page("GET", "POST")
def instrument(request, key: str):
    return _page(request, visible_or_404(Instrument, request.membership.organisation, key=key))


def _page(request, row: Instrument | None):
    may_write = request.membership.may_write
    form = InstrumentForm(posted(request), instrument=row) if may_write else None
    if form and request.method == "POST" and form.is_valid():
        try:
            kept = keep_instrument(
                request.membership.organisation, request.user, instrument=row, **form.values()
            )
        except InputError as error:
            form.add_problems(error, field="name")
            row = row and visible_or_404(Instrument, request.membership.organisation, key=row.key)
        else:
            return redirect("instrument", key=kept.key)
    context = InstrumentContext(
        instrument=row,
        form=form,
        standing=calibration_on(row, timezone.localdate()) if row else None,
        calibrations=list(row.calibrations.all()) if row else [],
        may_write=may_write,
    )
    return show(request, "instrument/page.html", context)
