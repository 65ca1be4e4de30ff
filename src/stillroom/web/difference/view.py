"""A changed copy beside the validation that it was started from, or beside the assessment where none was signed."""

from django.http import Http404
from django.utils import timezone

from stillroom.records.models import Validation
from stillroom.services.compare import compare
from stillroom.services.origin import origin_of
from stillroom.web.difference import words
from stillroom.web.difference.context import DifferenceContext
from stillroom.web.shared.doors import assessment_or_404, mine, page, show


@page("GET")
def difference(request, key: str):
    after = assessment_or_404(request, key)
    before = None if after.is_draft else origin_of(after)
    if before is None:
        raise Http404
    answer = compare(before.record, after.record)
    told, figures = words.substances(answer)
    context = DifferenceContext(
        before=before.assessment,
        after=after,
        validation=before.validation,
        state=words.state(before.validation, timezone.localdate()) if before.validation else "",
        inputs=words.inputs(answer),
        containers=words.containers(answer),
        outcomes=words.outcomes(answer),
        conflicts=words.conflicts(answer),
        conditions=words.conditions(answer),
        left_on_the_filter=answer["left_on_the_filter"],
        substances=told,
        figures=figures,
        signed=mine(request, Validation).filter(assessment=after).first(),
        may_write=request.membership.may_write,
    )
    return show(request, "difference/page.html", context)
