"""The inventory as a table in the page."""

from django.urls import reverse

from stillroom.web.inventory.view import take
from stillroom.web.shared.doors import draft_page, show
from stillroom.web.table.context import TableContext
from stillroom.web.table.form import COLUMNS, Table

NAME = "table.csv"


@draft_page
def table(request, assessment):
    if request.method == "POST":
        entered = Table.from_post(request.POST)
        if "add" in request.POST:
            entered.add(5)
        elif entered.check():
            return take(request, assessment, NAME, entered.content())
    elif assessment.inventory and assessment.inventory.name == NAME:
        entered = Table.from_file(bytes(assessment.inventory.content))
        entered.add(2)
    else:
        entered = Table([])
        entered.add(5)
    context = TableContext(
        assessment=assessment,
        lines=entered.lines(),
        columns=[str(title) for title in COLUMNS.values()],
        problems=entered.summary(),
        back=reverse("inventory", kwargs={"key": assessment.key}),
    )
    return show(request, "table/page.html", context)
