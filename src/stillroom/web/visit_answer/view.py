"""What the model says to a visit's readings, as it was said then; and the forecast as it is today."""

from django.utils import timezone
from django.utils.translation import gettext as _

from stillroom.records.models import Visit
from stillroom.records.tenancy import visible_or_404
from stillroom.services.forecast import forecast
from stillroom.web.shared.doors import page, show
from stillroom.web.visit_answer.context import VisitAnswerContext

FRAMES = {"consistent": "yes", "inconsistent": "no", "cannot tell": "unsure"}


def word(verdict: str) -> str:
    """The answer as its heading."""
    return {"consistent": _("As expected"), "inconsistent": _("Does not fit")}.get(verdict, _("Cannot tell"))


def answer_of(readings):
    """What all readings of a visit together said; once one was struck out, what is said since then; nothing where there is none."""
    struck = [row.strike for row in readings if hasattr(row, "strike")]
    if struck:
        return max(struck, key=lambda row: row.created_at).answer
    return readings[0].answer.get("together", {}) if readings else {}


@page("GET")
def visit_answer(request, key: str):
    visit = visible_or_404(Visit, request.membership.organisation, key=key)
    readings = list(visit.readings.select_related("instrument", "strike__created_by").order_by("pk"))
    answer = answer_of(readings)
    verdict = answer.get("verdict", "cannot tell")
    plan = forecast(visit.cabinet, timezone.localdate())
    context = VisitAnswerContext(
        visit=visit,
        readings=readings,
        answer=answer,
        struck=[row.strike for row in readings if hasattr(row, "strike")],
        frame=FRAMES.get(verdict, "unsure"),
        word=word(verdict),
        forecast=plan,
        filter_gone=bool(
            answer.get("installed") and plan.since and plan.since.isoformat() > answer["installed"]
        ),
        may_write=request.membership.may_write,
    )
    return show(request, "visit_answer/page.html", context)
