"""The inventory as a table in the page: a new one, or the kept one to go on from."""

from django.urls import reverse

from stillroom.web.inventory.view import kept_as_table, take
from stillroom.web.shared.doors import draft_page, show
from stillroom.web.shared.steps import from_check
from stillroom.web.table.context import TableContext
from stillroom.web.table.form import COLUMNS, NAME, Table


@draft_page
def table(request, assessment):
    kept = kept_as_table(assessment)
    if request.method == "POST":
        entered = Table.from_post(request.POST)
        if "add" in request.POST:
            entered.add(5)
        elif entered.check():
            return take(request, assessment, NAME, entered.content())
    elif kept:
        entered = kept
        entered.add(2)
    else:
        entered = Table([])
        entered.add(5)
    context = TableContext(
        assessment=assessment,
        lines=entered.lines(),
        columns=[str(title) for title in COLUMNS.values()],
        problems=entered.summary(),
        first_empty=entered.first_empty(),
        replaces=assessment.inventory.name if assessment.inventory and not kept else "",
        back=reverse("inventory", kwargs={"key": assessment.key})
        + ("?back=check" if from_check(request) else ""),
    )
    return show(request, "table/page.html", context)
