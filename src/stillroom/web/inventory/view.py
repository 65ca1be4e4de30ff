"""The inventory comes in. A wrong one is not kept: every wrong row is shown with its mend."""

from stillroom.records.store import take_inventory
from stillroom.web.check.answers import inventory_facts
from stillroom.web.inventory.context import InventoryContext
from stillroom.web.inventory.form import InventoryForm
from stillroom.web.shared import core
from stillroom.web.shared.doors import draft_page, posted, show
from stillroom.web.shared.steps import back_link, from_check
from stillroom.web.table.form import Table


@draft_page
def inventory(request, assessment):
    kept = kept_as_table(assessment)
    form = InventoryForm(
        posted(request),
        request.FILES if request.method == "POST" else None,
        initial={} if kept else {"pasted": _text(assessment)},
    )
    problems = ()
    if request.method == "POST" and form.is_valid():
        problems = form.cleaned_data.get("problems", ())
        name, content = form.cleaned_data["name"], form.cleaned_data["content"]
        if not problems:
            return take(request, assessment, name, content)
        if form.cleaned_data.get("file"):
            form = InventoryForm(initial={"pasted": core.as_text(content, name)})
    context = InventoryContext(
        assessment=assessment,
        form=form,
        problems=tuple(problems),
        back=back_link(request, assessment, "inventory"),
        back_to="check" if from_check(request) else "",
        kept=inventory_facts(assessment),
        in_table=bool(kept),
    )
    return show(request, "inventory/page.html", context)


def kept_as_table(assessment):
    """The kept inventory as rows to go on from, where there is one and the rows would say the same."""
    stored = assessment.inventory
    return Table.from_file(bytes(stored.content), stored.name) if stored else None


def _text(assessment) -> str:
    stored = assessment.inventory
    return core.as_text(bytes(stored.content), stored.name) if stored else ""


def take(request, assessment, name, content):
    """Keep the file with the draft and show how it was read."""
    from django.shortcuts import redirect
    from django.urls import reverse

    take_inventory(assessment, request.user, name=name, content=content)
    address = reverse("reading", kwargs={"key": assessment.key})
    return redirect(address + ("?back=check" if from_check(request) else ""))
