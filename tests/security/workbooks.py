"""Workbooks that ask for far more than they hold; ``python workbooks.py FOLDER`` opens each there, and tells seconds and memory.

Shapes of ISO/IEC 29500-1 SpreadsheetML, written by hand because no spreadsheet writes them.
"""

from __future__ import annotations

import copy
import io
import json
import re
import sys
import zipfile
from collections.abc import Callable
from pathlib import Path

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
PACKAGE = "http://schemas.openxmlformats.org/package/2006"
FAR = '<row r="1"><c r="A1"><v>1</v></c></row>'


def zipped(parts: dict[str, str | bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return out.getvalue()


def parts(
    cells: str, *, texts: str = "", target: str = "worksheets/sheet1.xml", times: int = 1, before: str = ""
) -> dict[str, str | bytes]:
    """The least that a reader takes for a workbook, with these cells in its sheet."""
    listed = "".join(f'<sheet name="S{n}" sheetId="{n}" r:id="s"/>' for n in range(1, times + 1))
    found: dict[str, str | bytes] = {
        "[Content_Types].xml": f'<Types xmlns="{PACKAGE}/content-types"/>',
        "_rels/.rels": f'<Relationships xmlns="{PACKAGE}/relationships"><Relationship Id="b" '
        f'Type="{OFFICE}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
        "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{PACKAGE}/relationships"><Relationship Id="s" '
        f'Type="{OFFICE}/worksheet" Target="{target}"/></Relationships>',
        "xl/workbook.xml": f'<workbook xmlns="{MAIN}" xmlns:r="{OFFICE}"><sheets>{listed}</sheets></workbook>',
        f"xl/{target}": f'{before}<worksheet xmlns="{MAIN}"><sheetData>{cells}</sheetData></worksheet>',
    }
    if texts:
        found["xl/sharedStrings.xml"] = f'<sst xmlns="{MAIN}">{texts}</sst>'
    return found


def text(place: str, words: str) -> str:
    return f'<c r="{place}" t="inlineStr"><is><t>{words}</t></is></c>'


LIST = (
    f'<row r="1">{text("A1", "name")}{text("B1", "amount")}</row>'
    f'<row r="2">{text("A2", "acetone")}{text("B2", "1 L")}</row>'
)


def nested() -> bytes:
    """Archives in an archive, six deep with ten in each, the innermost a megabyte of nothing: a million megabytes."""
    inner = zipped({"0": bytes(1_000_000)})
    for _ in range(5):
        inner = zipped({str(n): inner for n in range(10)})
    return inner


def overlapping() -> bytes:
    """A thousand members that are the same bytes of the file."""
    out = io.BytesIO(zipped(parts(LIST) | {"xl/media/a": bytes(1_000_000)}))
    with zipfile.ZipFile(out, "a") as archive:
        kernel = archive.getinfo("xl/media/a")
        for number in range(1000):
            again = copy.copy(kernel)
            again.filename = f"xl/media/{number}"
            archive.filelist.append(again)
        archive._didModify = True
    return out.getvalue()


def lowered() -> bytes:
    """A sheet of 90 MB that says it were ten bytes."""
    size = (90_000_001).to_bytes(4, "little")
    return zipped(parts(LIST) | {"xl/big.bin": bytes(90_000_001)}).replace(size, (10).to_bytes(4, "little"))


BOMBS: dict[str, Callable[[], bytes]] = {
    "nested": nested,
    "nested in a workbook that lists them as a sheet": lambda: zipped(
        parts("", target="a.zip") | {"xl/a.zip": nested()}
    ),
    "overlapping members": overlapping,
    "one huge sheet": lambda: zipped(parts(" " * 150_000_000)),
    "a huge member that lies about its size": lowered,
    "one text in ten thousand cells": lambda: zipped(
        parts(
            "<row>" + '<c t="s"><v>0</v></c>' * 10_000 + "</row>",
            texts="<si><t>" + "x" * 100_000 + "</t></si>",
        )
    ),
    "a far cell in a sheet under another name": lambda: zipped(
        parts(FAR + '<row r="40000"><c r="ALL40000"><v>1</v></c></row>', target="other/s.xml")
    ),
    "a far cell in a sheet that ends in .dat": lambda: zipped(
        parts(FAR + '<row r="40000"><c r="ALL40000"><v>1</v></c></row>', target="s.dat")
    ),
    "a far cell, spelled with spaces": lambda: zipped(
        parts(FAR + '<row r="40000"><c r = "ALL40000"/></row>')
    ),
    "a far cell in small letters": lambda: zipped(parts(FAR + '<row r="40000"><c r="all40000"/></row>')),
    "a far row whose cells do not say where": lambda: zipped(
        parts(FAR + '<row r="1000000">' + "<c><v>1</v></c>" * 40 + "</row>")
    ),
    "one sheet listed forty times": lambda: zipped(
        parts(FAR + '<row r="2000"><c r="ALK2000"><v>1</v></c></row>', times=40)
    ),
    "eight million empty cells": lambda: zipped(parts("<row>" + "<c/>" * 8_000_000 + "</row>")),
    "entities of entities": lambda: zipped(
        parts(LIST, before='<!DOCTYPE a [<!ENTITY b "1"><!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;">]>')
    ),
}


def peak_kib() -> int:
    """The most memory that this process held; not its parent's, which `resource` counts in after a fork."""
    status = Path("/proc/self/status").read_text()
    return int(re.search(r"VmHWM:\s+(\d+)", status)[1])


def main() -> None:
    """Each bomb in this process: what was said, and by how many MiB the process grew."""
    from stillroom import inventory
    from stillroom.errors import InputError

    assert len(inventory.read_bytes(zipped(parts(LIST)), "list.xlsx").containers) == 1
    for path in sorted(Path(sys.argv[1]).iterdir()):
        data = path.read_bytes()
        before = peak_kib()
        try:
            inventory.read_bytes(data, "list.xlsx")
            said = ""
        except InputError as error:
            said = error.problems[0].what
        grown = (peak_kib() - before) / 1024
        print(json.dumps([path.stem, len(data), said, round(grown, 1)]), flush=True)


if __name__ == "__main__":
    main()
