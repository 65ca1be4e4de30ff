"""A signed record: its signature, whether it stands, and its papers."""

from django.http import Http404, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from stillroom.errors import StillroomError
from stillroom.records import keys, statement
from stillroom.records.models import Validation
from stillroom.records.tenancy import visible_or_404
from stillroom.services.review import as_data, may_review
from stillroom.services.sign import record_of
from stillroom.services.standing import state_of
from stillroom.web.papers.view import KINDS
from stillroom.web.result.view import papers
from stillroom.web.shared import core, errors
from stillroom.web.shared.address import base_url
from stillroom.web.shared.doors import page, show
from stillroom.web.validation.context import ValidationContext


@page("GET")
def validation(request, key: str):
    row = visible_or_404(Validation, request.membership.organisation, key=key)
    record, review = record_of(row), getattr(row, "review", None)
    known = keys.public_keys()
    listed = papers()
    if review:
        listed = [*listed, ("review.json", _("The review as data (JSON)"))]
    context = ValidationContext(
        validation=row,
        record=record,
        signature=record["signature"],
        state=state_of(row, timezone.localdate()),
        withdrawal=getattr(row, "withdrawal", None),
        review=review,
        faults=[
            *statement.faults(row, known),
            *(
                (f"{_('Review')}: {words}" for words in statement.review_faults(review, known))
                if review
                else ()
            ),
        ],
        papers=listed,
        label_path=reverse("label", args=[row.label_token]),
        may_write=request.membership.may_write,
        may_review=may_review(row, request.user),
    )
    return show(request, "validation/page.html", context)


@page("GET")
def signed_paper(request, key: str, name: str):
    row = visible_or_404(Validation, request.membership.organisation, key=key)
    if name not in KINDS:
        raise Http404
    path = reverse("label", args=[row.label_token]).lstrip("/")
    try:
        review = as_data(row.review) if hasattr(row, "review") else None
        files = core.papers(record_of(row), base_url(request), path, review)
    except StillroomError as error:  # an address too long for the code on a label
        return errors.no_paper(request, error)
    if name not in files:
        raise Http404
    response = HttpResponse(files[name], content_type=KINDS[name])
    response["Content-Disposition"] = f'attachment; filename="V{row.number}-{name}"'
    response["Content-Security-Policy"] = "default-src 'none'; frame-ancestors 'none'; sandbox"
    return response
