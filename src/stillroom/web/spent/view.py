"""The sheet of a spent filter, to download."""

from django.http import HttpResponse

from stillroom.documents.spent import spent_pdf
from stillroom.records.models import FilterChange
from stillroom.records.tenancy import visible_or_404
from stillroom.services.spent_filter import spent_filter
from stillroom.web.shared.doors import page


@page("GET")
def spent(request, key: str):
    change = visible_or_404(FilterChange, request.membership.organisation, key=key)
    response = HttpResponse(spent_pdf(spent_filter(change)), content_type="application/pdf")
    response["Content-Disposition"] = f'attachment; filename="spent-filter-{change.key}.pdf"'
    response["Content-Security-Policy"] = "default-src 'none'; frame-ancestors 'none'; sandbox"
    return response
