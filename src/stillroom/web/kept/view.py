"""One cabinet: what stands for it, its validations and visits, and what is written on it."""

from django.shortcuts import redirect
from django.utils import timezone

from stillroom.errors import InputError
from stillroom.records import trail
from stillroom.records.models import Cabinet
from stillroom.records.tenancy import visible_or_404
from stillroom.services.cabinets import keep_cabinet
from stillroom.services.due import due_for
from stillroom.services.standing import standing_in, state_of, validations_of
from stillroom.web.kept.context import KeptContext
from stillroom.web.kept.form import CabinetForm
from stillroom.web.shared.doors import page, posted, show
from stillroom.web.visit_answer.view import answer_of, word

LATEST = 20
"""Visits, filter changes and events that are shown."""


@page("GET", "POST", writes=True)
def cabinet_new(request):
    return _page(request, None)


@page("GET", "POST")
def kept(request, key: str):
    return _page(request, visible_or_404(Cabinet, request.membership.organisation, key=key))


def _page(request, row: Cabinet | None):
    form = CabinetForm(posted(request), cabinet=row) if request.membership.may_write else None
    if form and request.method == "POST" and form.is_valid():
        try:
            row = keep_cabinet(request.membership.organisation, request.user, cabinet=row, **form.values())
        except InputError as error:
            form.add_problems(error, field="name")
        else:
            return redirect("kept", key=row.key)
    today = timezone.localdate()
    context = KeptContext(
        cabinet=row,
        form=form,
        standing=standing_in(row, today) if row else None,
        validations=[(one, state_of(one, today)) for one in validations_of(row)] if row else [],
        due=due_for(row, today=today) if row else [],
        visits=_visits(row) if row else [],
        changes=list(row.filter_changes.all()[:LATEST]) if row else [],
        history=list(_history(row)[:LATEST]) if row else [],
    )
    return show(request, "kept/page.html", context)


def _visits(row: Cabinet):
    """The latest visits, each with what its readings said."""
    visits = row.visits.prefetch_related("readings__strike").order_by("-on", "-pk")[:LATEST]
    answers = [(one, answer_of(sorted(one.readings.all(), key=lambda row: row.pk))) for one in visits]
    return [
        (one, answer.get("verdict") == "inconsistent", word(answer.get("verdict", "")))
        for one, answer in answers
    ]


def _history(row: Cabinet):
    """Events of the cabinet and of its validations."""
    subjects = [
        f"cabinet:{row.key}",
        *(f"validation:{key}" for key in row.validations.values_list("key", flat=True)),
    ]
    withdrawn = row.validations.exclude(withdrawal=None).values_list("withdrawal", flat=True)
    subjects += [f"withdrawal:{pk}" for pk in withdrawn]
    return trail.events(row.organisation).filter(subject__in=subjects)
