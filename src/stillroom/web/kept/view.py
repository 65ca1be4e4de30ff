"""One cabinet: what stands for it, its validations and visits, and what is written on it."""

from django.shortcuts import redirect
from django.utils import timezone

from stillroom.errors import InputError
from stillroom.records.models import Cabinet
from stillroom.records.tenancy import visible_or_404
from stillroom.services.cabinets import keep_cabinet
from stillroom.services.standing import standing_in, state_of, validations_of
from stillroom.web.kept.context import KeptContext
from stillroom.web.kept.form import CabinetForm
from stillroom.web.shared.doors import page, posted, show

LATEST_VISITS = 20


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
        visits=list(row.visits.order_by("-on", "-pk")[:LATEST_VISITS]) if row else [],
    )
    return show(request, "kept/page.html", context)
