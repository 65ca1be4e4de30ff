"""Look a substance up: identity, properties, limits, hazards."""

import re

from stillroom.web.shared.doors import page, show
from stillroom.web.shared.fields import tidy
from stillroom.web.substances.context import SubstancesContext
from stillroom.web.substances.lookup import look_up


@page("GET")
def substances(request):
    from stillroom.substances import resolve

    query = tidy(request.GET.get("q", ""))[:200]
    found, reason, near = None, "", ()
    if query:
        answer = resolve(cas=query) if re.fullmatch(r"[\d-]+", query) else resolve(name=query)
        reason, near = answer.reason, answer.near
        if answer.substance is not None:
            found = look_up(answer.substance)
    context = SubstancesContext(query=query, reason=reason, near=near, found=found)
    return show(request, "substances/page.html", context)
