"""Our own drawings, put into a page: well-formed, without script, style or links."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ElementTree

from django.utils.safestring import SafeString, mark_safe

from stillroom.errors import StillroomError

__all__ = ["UnsafeDrawing", "inline"]

_ALLOWED = {
    "svg", "g", "path", "line", "polyline", "polygon", "rect", "circle", "ellipse", "text", "tspan", "title", "desc",
    "defs", "pattern", "clipPath", "marker", "use",
}  # fmt: skip
_SVG = "{http://www.w3.org/2000/svg}"


class UnsafeDrawing(StillroomError):
    """A drawing holds something that does not belong into a page."""


def inline(svg: str) -> SafeString:
    """The drawing as part of a page. The one place where text is declared safe.

    Raises
    ------
    UnsafeDrawing
        It is not well-formed, or holds an element or attribute that is not on the list.
    """
    if "<!" in svg.replace("<!--", ""):
        raise UnsafeDrawing("the drawing declares a document type or entities")
    try:
        root = ElementTree.fromstring(svg)
    except ElementTree.ParseError as error:
        raise UnsafeDrawing(f"the drawing is not well-formed: {error}") from None
    for element in root.iter():
        if not isinstance(element.tag, str) or element.tag.removeprefix(_SVG) not in _ALLOWED:
            raise UnsafeDrawing(f"the drawing holds the element {element.tag}")
        for name, value in element.attrib.items():
            local = name.rsplit("}", 1)[-1].lower()
            if local == "style" or local.startswith("on") or (local == "href" and not value.startswith("#")):
                raise UnsafeDrawing(f"the drawing holds the attribute {local}")
    return mark_safe(re.sub(r"^\s*<\?xml[^>]*\?>", "", svg))
