"""Withdraw a validation."""

from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters

from stillroom.errors import StillroomError
from stillroom.records.models import Validation
from stillroom.records.tenancy import visible_or_404
from stillroom.services.standing import state_of
from stillroom.services.withdraw import withdraw
from stillroom.web.shared.confirm import confirmed
from stillroom.web.shared.doors import page, posted, show
from stillroom.web.withdraw.context import WithdrawContext
from stillroom.web.withdraw.form import WithdrawForm


@sensitive_post_parameters("password")
@page("GET", "POST", writes=True)
def withdraw_page(request, key: str):
    validation = visible_or_404(Validation, request.membership.organisation, key=key)
    if state_of(validation, timezone.localdate()).kind not in ("standing", "expired"):
        return redirect("validation", key=key)
    form = WithdrawForm(posted(request))
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        try:
            withdraw(
                validation, request.user, reason=given["reason"], password=given["password"],
                check=confirmed(request),
            )  # fmt: skip
        except StillroomError as error:
            form.add_error("password" if "password" in str(error) else None, str(error))
        else:
            return redirect("validation", key=key)
    return show(request, "withdraw/page.html", WithdrawContext(validation=validation, form=form))
