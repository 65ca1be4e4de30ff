"""What a cabinet saves against a ducted one. Nothing is stored."""

from __future__ import annotations

import datetime
from typing import Any

from django.utils import timezone
from django.utils.translation import gettext as _

from stillroom.errors import InputError
from stillroom.records.models import Cabinet
from stillroom.records.tenancy import visible_or_404
from stillroom.services.forecast import forecast
from stillroom.services.in_place import standing_in
from stillroom.web.savings.context import SavingsContext
from stillroom.web.savings.form import SavingsForm
from stillroom.web.shared.doors import page, posted, show
from stillroom.web.shared.svg import inline


@page("GET", "POST")
def savings(request):
    key = request.GET.get("cabinet", "")
    cabinet = visible_or_404(Cabinet, request.membership.organisation, key=key) if key else None
    name = str(cabinet) if cabinet else _("A cabinet")
    files = request.FILES if request.method == "POST" else None
    form = SavingsForm(posted(request), files, initial=_initial(cabinet, timezone.localdate()))
    answer, drawing = None, ""
    if request.method == "POST" and form.is_valid():
        try:
            answer, drawing = _answer(form, name)
        except InputError as error:
            form.add_problems(error, field="climate")
    context = SavingsContext(form=form, name=name, answer=answer, drawing=drawing)
    return show(request, "savings/page.html", context)


def _answer(form: SavingsForm, name: str) -> tuple[dict[str, Any], str]:
    from stillroom.documents.charts import savings_svg
    from stillroom.economics import parse_case
    from stillroom.economics.climate import read_climate
    from stillroom.services.savings import savings as compare

    given = form.cleaned_data
    file = given["climate_file"].name if given.get("climate_file") else _("the table")
    read = read_climate(given["climate"], file_name=file, source=given["climate_source"])
    months = [
        {"temperature_C": month.temperature, "relative_humidity": month.relative_humidity}
        for month in read.months
    ]
    tables = form.tables(name) | {"climate": {"source": given["climate_source"], "month": months}}
    answer = compare(parse_case(tables, file_name=_("the form")))
    return answer, inline(savings_svg(answer["parts"], answer["currency"]))


def _initial(cabinet: Cabinet | None, today: datetime.date) -> dict[str, Any]:
    """The cabinet's own flow, room and filter life; the rest is for the user to say."""
    initial: dict[str, Any] = {
        "hours": 8760,
        "recovery": "0",
        "efficiency": "1",
        "humidifies": False,
        "lasts": 15,
    }
    validation = standing_in(cabinet, today) if cabinet else None
    if validation is None:
        return initial
    inputs = validation.assessment.inputs
    room = inputs["room"]["room"]
    initial |= {
        "flow": inputs["cabinet"]["cabinet"]["flow_m3_h"],
        "temperature": f"{room.get('temperature_C', 22.0):g}",
        "humidity": f"{100 * room.get('relative_humidity', 0.5):g}",
    }
    told = forecast(cabinet, today)
    ends = (told.p05, told.p50, told.p95)
    if told.since and all(ends):
        days = [(end - told.since).days for end in ends]
        initial["life"] = f"{days[0]}" if days[0] == days[2] else " - ".join(map(str, days))
    return initial
