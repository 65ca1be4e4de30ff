"""The assessments of one's own organisation."""

from stillroom.records.models import Assessment
from stillroom.web.assessments.context import AssessmentsContext
from stillroom.web.shared.doors import mine, page, show


@page("GET")
def assessments(request):
    rows = (
        mine(request, Assessment).select_related("created_by", "parent").defer("record", "inputs", "versions")
    )
    context = AssessmentsContext(
        assessments=list(rows[:500]),
        organisation=request.membership.organisation.name,
        may_write=request.membership.may_write,
    )
    return show(request, "assessments/page.html", context)
