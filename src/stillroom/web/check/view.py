"""The answers before the verdict; then the verdict is computed in the request and kept."""

from __future__ import annotations

import datetime
import logging

from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from stillroom.errors import StillroomError
from stillroom.records.store import AlreadyAssessed, conclude, update_draft
from stillroom.web.check.answers import answers
from stillroom.web.check.context import CheckContext
from stillroom.web.check.form import TitleForm
from stillroom.web.shared import core
from stillroom.web.shared.doors import draft_page, posted, show

log = logging.getLogger(__name__)


@draft_page
def check(request, assessment):
    sections = answers(assessment)
    missing = [section.title for section in sections if section.needed and not section.rows]
    form = TitleForm(posted(request), initial={"title": assessment.title})
    fault = ""
    if request.method == "POST" and form.is_valid() and not missing:
        fault = compute(request, assessment, form.cleaned_data["title"])
        if not fault:
            return redirect("result", key=assessment.key)
    context = CheckContext(
        assessment=assessment,
        form=form,
        sections=sections,
        missing=missing,
        fault=fault,
        back=reverse("result", kwargs={"key": assessment.parent.key}) if assessment.parent
        else reverse("rules", kwargs={"key": assessment.key}),
    )  # fmt: skip
    return show(request, "check/page.html", context)


def compute(request, assessment, title: str) -> str:
    """Compute outside any transaction and keep the result; gives what is wrong, or an empty text."""
    update_draft(assessment, request.user, title=title, date=today().isoformat())
    try:
        record = core.assess(assessment)
        conclude(assessment, request.user, record=record)
    except AlreadyAssessed as error:
        return str(error)
    except StillroomError as error:
        log.warning("assessment %s gave no result: %s", assessment.key, type(error).__name__)
        return _("No result could be computed. %(reason)s") % {"reason": error}
    return ""


def today() -> datetime.date:
    """The day of the assessment."""
    return timezone.localdate()
