"""Review what another person signed."""

from django.shortcuts import redirect
from django.views.decorators.debug import sensitive_post_parameters

from stillroom.errors import StillroomError
from stillroom.records.models import Validation
from stillroom.records.tenancy import visible_or_404
from stillroom.services.review import may_review, review
from stillroom.services.sign import record_of
from stillroom.web.review.context import ReviewContext
from stillroom.web.shared.confirm import confirmed
from stillroom.web.shared.continuous import remember, signed_before
from stillroom.web.shared.doors import page, posted, show
from stillroom.web.sign.form import Components


@sensitive_post_parameters("password")
@page("GET", "POST", writes=True)
def review_page(request, key: str):
    validation = visible_or_404(Validation, request.membership.organisation, key=key)
    if not may_review(validation, request.user):
        return redirect("validation", key=key)
    form = Components(posted(request), continued=signed_before(request))
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        try:
            review(
                validation, request.user, password=given["password"], username=given.get("username", ""),
                continued=signed_before(request), check=confirmed(request),
            )  # fmt: skip
        except StillroomError as error:
            form.add_error("password" if "password" in str(error) else None, str(error))
        else:
            remember(request)
            return redirect("validation", key=key)
    context = ReviewContext(
        validation=validation, record=record_of(validation), form=form, name=request.user.get_full_name()
    )
    return show(request, "review/page.html", context)
