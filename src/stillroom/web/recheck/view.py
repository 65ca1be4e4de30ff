"""Which validations would come out differently today. Looking is quick; computing is asked for."""

import time

from django.shortcuts import redirect
from django.utils import timezone

from stillroom.services.recheck import recheck as compute
from stillroom.web.recheck.context import RecheckContext
from stillroom.web.recheck.rows import rows_of
from stillroom.web.shared.doors import page, show

_LONGEST = 20.0
"""After so long no further one is begun; the page says how many are left [s]."""


@page("GET", "POST")
def recheck(request):
    """A POST computes: the one it names, or all that are open, as many as fit into a request."""
    today = timezone.localdate()
    rows = rows_of(request.membership.organisation, today)
    if request.method == "POST":
        wanted = request.POST.get("validation", "")
        begun = time.monotonic()
        for row in rows:
            if row.open and wanted in ("", row.validation.key) and time.monotonic() - begun < _LONGEST:
                compute([row.validation], today=today)
        return redirect("recheck")
    context = RecheckContext(
        rows=[row for row in rows if row.concerns],
        count=len(rows),
        open_count=sum(row.open for row in rows),
        may_write=request.membership.may_write,
    )
    return show(request, "recheck/page.html", context)
