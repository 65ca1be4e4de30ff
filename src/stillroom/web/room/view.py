"""The room."""

from stillroom.records.models import RoomDefinition
from stillroom.records.store import update_draft
from stillroom.web.room.context import RoomContext
from stillroom.web.room.form import RoomForm
from stillroom.web.shared.doors import draft_page, mine, posted, show
from stillroom.web.shared.steps import back_link, from_check, go_on


@draft_page
def room(request, assessment):
    known = list(mine(request, RoomDefinition).order_by("-pk")[:20])
    tables = assessment.inputs.get("room", {})
    if request.method == "GET" and request.GET.get("as", "").isdigit():
        earlier = next((row.tables for row in known if row.pk == int(request.GET["as"])), None)
        tables = earlier or tables
    form = RoomForm(posted(request), tables=tables)
    if request.method == "POST" and form.is_valid():
        update_draft(assessment, request.user, room=form.cleaned_data["tables"])
        return go_on(request, assessment, "room")
    context = RoomContext(
        assessment=assessment,
        form=form,
        known=known,
        back=back_link(request, assessment, "room"),
        back_to="check" if from_check(request) else "",
    )
    return show(request, "room/page.html", context)
