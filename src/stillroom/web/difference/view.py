"""A changed copy beside the assessment that it was changed from."""

from django.http import Http404

from stillroom.web.difference.compare import containers, inputs, outcomes, substances
from stillroom.web.difference.context import DifferenceContext
from stillroom.web.shared.doors import assessment_or_404, page, show


@page("GET")
def difference(request, key: str):
    after = assessment_or_404(request, key)
    before = after.parent
    if after.is_draft or before is None or before.is_draft:
        raise Http404
    context = DifferenceContext(
        before=before,
        after=after,
        inputs=inputs(before, after),
        containers=containers(before.record, after.record),
        outcomes=outcomes(before.record, after.record),
        substances=substances(before.record, after.record),
    )
    return show(request, "difference/page.html", context)
