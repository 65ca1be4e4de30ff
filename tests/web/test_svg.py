"""Only harmless drawings are put into a page."""

import pytest

from documents.sample_record import long_record, sample_record
from stillroom.documents import charts
from stillroom.web.shared.svg import UnsafeDrawing, inline

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink">'


@pytest.mark.parametrize("draw", [charts.exhaust_svg, charts.clocks_svg, charts.shelves_svg])
@pytest.mark.parametrize("record", [sample_record, long_record])
def test_our_own_drawings_pass(draw, record):
    assert inline(draw(record())).startswith("<svg")


def test_names_in_a_drawing_stay_text():
    record = sample_record()
    for curve in record["curves"]:
        curve["name"] = "<script>alert(1)</script>"
    assert "<script" not in inline(charts.exhaust_svg(record))


@pytest.mark.parametrize(
    "inside",
    [
        "<script>alert(1)</script>", '<rect onload="x()"/>', '<rect style="fill:red"/>', "<style>*{}</style>",
        '<use xlink:href="https://evil.example/x.svg#a"/>', '<image href="x.png"/>', "<foreignObject/>", "<rect>",
        '<a href="javascript:x()"><rect/></a>',
    ],
)  # fmt: skip
def test_others_do_not(inside):
    with pytest.raises(UnsafeDrawing):
        inline(f"{HEAD}{inside}</svg>")


def test_entities_are_refused():
    with pytest.raises(UnsafeDrawing):
        inline(
            '<!DOCTYPE svg [<!ENTITY a "aaaa">]><svg xmlns="http://www.w3.org/2000/svg"><text>&a;</text></svg>'
        )
