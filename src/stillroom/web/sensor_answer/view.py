"""What a fixed sensor's file held, and what the model says to it."""

from stillroom.records.models import Series
from stillroom.records.tenancy import visible_or_404
from stillroom.web.sensor_answer.context import SensorAnswerContext
from stillroom.web.shared.doors import page, show
from stillroom.web.visit_answer.view import FRAMES, word


@page("GET")
def sensor_answer(request, number: int):
    series = visible_or_404(Series, request.membership.organisation, pk=number)
    answer = series.summary["answer"]
    cells = [*series.summary["faults"], *series.summary["duplicates"]]
    context = SensorAnswerContext(
        series=series,
        answer=answer,
        frame=FRAMES.get(answer["verdict"], "unsure"),
        word=word(answer["verdict"]),
        cells=cells,
        more=max(series.summary.get("cells", 0) - len(cells), 0),
    )
    return show(request, "sensor_answer/page.html", context)
