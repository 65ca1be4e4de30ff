"""Reading PDFs back with PDFium, a program that shares nothing with the one that made them."""

from __future__ import annotations

import ctypes
import re
from typing import Any, NamedTuple

import pypdfium2
import pypdfium2.raw as pdfium

CAP_HEIGHT = 0.660
"""of the em, Source Sans 3: sCapHeight 660 of 1000 in its OS/2 table"""


def pages(data: bytes) -> list[str]:
    """The text of each page, white space made single."""
    document = pypdfium2.PdfDocument(data)
    return [
        " ".join(page.get_textpage().get_text_range().replace("\u200b", "").replace("\ufffe", "-").split())
        for page in document
    ]


def text(data: bytes) -> str:
    return " ".join(pages(data))


def squeezed(said: str) -> str:
    """Without spaces and places to break: lines may break anywhere, and PDFium drops a hyphen at a line's end."""
    return re.sub(r"[\s\u200b-]", "", said)


def point_sizes(data: bytes, phrase: str) -> list[float]:
    """Type size [pt] of each capital of `phrase` on the first page, from its printed height over the cap height."""
    textpage = pypdfium2.PdfDocument(data)[0].get_textpage()
    whole = textpage.get_text_range()
    found = re.search(r"\s+".join(map(re.escape, phrase.split())), whole)
    assert found, f"{phrase!r} is not on the page: {whole!r}"
    sizes = []
    for index in range(found.start(), found.end()):
        if whole[index] in "ABCDEFHIKLMNPRTUVXYZ":  # C is 3 % higher than the flat ones
            box = [ctypes.c_double() for _ in range(4)]
            assert pdfium.FPDFText_GetCharBox(textpage.raw, index, *box)
            sizes.append((box[3].value - box[2].value) / CAP_HEIGHT)
    return sizes


def smallest_type(data: bytes, page: int = 0) -> float:
    """The smallest type size [pt] set on a page."""
    return min(run.size for run in runs(data, page))


class Run(NamedTuple):
    """A piece of text: its type size and its lower left corner [pt], from the page's lower left corner."""

    text: str
    size: float
    x: float
    y: float


def runs(data: bytes, page: int = 0) -> list[Run]:
    """Each piece of text on a page, drawings included."""
    leaf = pypdfium2.PdfDocument(data)[page]
    words = leaf.get_textpage()
    found = []
    for item in leaf.get_objects(filter=[pdfium.FPDF_PAGEOBJ_TEXT], max_depth=6):
        size = ctypes.c_float()
        assert pdfium.FPDFTextObj_GetFontSize(item.raw, size)
        needed = pdfium.FPDFTextObj_GetText(item.raw, words.raw, None, 0)
        buffer = ctypes.create_string_buffer(needed)
        pdfium.FPDFTextObj_GetText(
            item.raw, words.raw, ctypes.cast(buffer, ctypes.POINTER(ctypes.c_ushort)), needed
        )
        matrix = item.get_matrix()
        left, bottom, _, _ = item.get_bounds()
        said = buffer.raw.decode("utf-16-le").strip("\x00")
        if said.strip():
            found.append(Run(said, size.value * abs(matrix.d), left, bottom))
    return found


def picture(data: bytes, page: int = 0, *, dpi: float = 150) -> Any:
    """The page as a picture."""
    return pypdfium2.PdfDocument(data)[page].render(scale=dpi / 72).to_pil().convert("RGB")
