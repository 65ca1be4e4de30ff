"""Sign a finished assessment."""

from django.shortcuts import redirect
from django.views.decorators.debug import sensitive_post_parameters

from stillroom.errors import InputError, StillroomError
from stillroom.records.models import Cabinet, Validation
from stillroom.records.tenancy import visible
from stillroom.services.cabinets import keep_cabinet
from stillroom.services.components import identify
from stillroom.services.sign import APPROVING, meanings, sign
from stillroom.web.shared.confirm import confirmed
from stillroom.web.shared.continuous import remember, signed_before
from stillroom.web.shared.doors import assessment_or_404, mine, page, posted, show
from stillroom.web.sign.context import SignContext
from stillroom.web.sign.form import NEW, SignForm


@sensitive_post_parameters("password")
@page("GET", "POST", writes=True)
def sign_page(request, key: str):
    assessment = assessment_or_404(request, key)
    if assessment.is_draft:
        return redirect("result", key=key)
    done = visible(Validation, assessment.organisation).filter(assessment=assessment).first()
    if done:
        return redirect("validation", key=done.key)
    cabinets = list(mine(request, Cabinet).filter(retired=None))
    form = SignForm(
        posted(request),
        cabinets=cabinets,
        meanings=meanings(assessment.verdict),
        asks_reason=assessment.verdict in APPROVING,
        continued=signed_before(request),
        initial=_initial(assessment, cabinets),
    )
    if request.method == "POST" and form.is_valid():
        try:
            validation = _signed(request, assessment, form, cabinets)
        except InputError as error:
            form.add_problems(error, field="name")
        except StillroomError as error:
            form.add_error("password" if "password" in str(error) else None, str(error))
        else:
            remember(request)
            return redirect("validation", key=validation.key)
    context = SignContext(
        assessment=assessment, record=assessment.record, form=form, name=request.user.get_full_name()
    )
    return show(request, "sign/page.html", context)


def _signed(request, assessment, form, cabinets):
    given = form.cleaned_data
    who = {
        "password": given["password"], "username": given.get("username", ""),
        "continued": signed_before(request), "check": confirmed(request),
    }  # fmt: skip
    if given["cabinet"] == NEW:
        identify(request.user, **who)  # before the cabinet is kept
        cabinet = keep_cabinet(
            request.membership.organisation, request.user, name=given["name"],
            room=assessment.inputs.get("room", {}).get("room", {}).get("name", ""),
        )  # fmt: skip
    else:
        cabinet = next(row for row in cabinets if row.key == given["cabinet"])
    reason = given.get("reason") or ""
    return sign(assessment, request.user, cabinet=cabinet, meaning=given["meaning"], reason=reason, **who)


def _initial(assessment, cabinets):
    """A change of a signed case is for the same cabinet."""
    before = visible(Validation, assessment.organisation).filter(assessment=assessment.parent_id).first()
    return {"cabinet": before.cabinet.key} if before and before.cabinet in cabinets else {}
