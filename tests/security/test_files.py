"""Files that come in and files that go out (OWASP ASVS 5.0.0: 5.2.1, 5.2.2, 5.2.3, 5.3.2, 5.4.1, 5.4.2, 1.2.10, 1.3.6)."""

from __future__ import annotations

import csv
import io
import json
import os
import re
import shutil
import socket
import subprocess
import sys
import threading
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from hypothesis import example, given, settings
from hypothesis import strategies as st

from security.workbooks import BOMBS, LIST, parts, zipped
from stillroom import fleet

GOOD = b"name,cas,amount,unit\nToluene,108-88-3,2.5,L\n"
HTML = b"<html><script>alert(1)</script></html>"
BOOK = zipped(parts(LIST))

# ---- in: bombs

HANGS = 90.0
"""All of them together take some seconds; unguarded, the texts alone took 92."""
MOST_MIB = 32.0
"""Unguarded, a file of two kilobytes took 1900."""


@pytest.fixture(scope="module")
def opened(tmp_path_factory):
    """Every bomb opened in a process that did not make them, and whose memory the system counts."""
    folder = tmp_path_factory.mktemp("bombs")
    for name, make in BOMBS.items():
        (folder / f"{name}.xlsx").write_bytes(make())
    program = Path(__file__).with_name("workbooks.py")
    done = subprocess.run(
        [sys.executable, str(program), str(folder)], capture_output=True, text=True, timeout=HANGS
    )
    assert done.returncode == 0, done.stderr
    return {name: rest for name, *rest in map(json.loads, done.stdout.splitlines())}


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="memory is read from /proc")
@pytest.mark.parametrize("name", BOMBS)
def test_a_bomb_is_refused_in_little_memory(name, opened):
    _size, said, grown = opened[name]
    assert said
    assert grown < MOST_MIB


# ---- in: what a file says it is, its size, its name


def send(client, case, name, content):
    file = SimpleUploadedFile(name, content)
    file.name = file._name = name  # as it is, not as Django's own class would have it
    return client.post(reverse("inventory", kwargs={"key": case.key}), {"file": file, "pasted": ""})


@pytest.fixture
def fresh(ours, validator):
    from stillroom.records.store import new_draft

    return new_draft(ours.organisation, ours.people["validator"], title="Fresh", inputs={})


@pytest.mark.parametrize("name", ["a.csv", "a.xlsx", "a.txt", "a.png", "a.html", "a.svg", "a", "a.csv.html"])
@pytest.mark.parametrize(
    "content",
    [
        b"\x89PNG\r\n\x1a\n" + HTML,
        b"GIF89a=1;//" + HTML,
        b"\xff\xd8\xff\xe0" + HTML,
        HTML,
        b"\xef\xbb\xbf \n" + HTML,
        b'<svg xmlns="http://www.w3.org/2000/svg" onload="alert(1)"/>',
        b"%PDF-1.7\n" + HTML,
        b"PK\x03\x04" + HTML,
        HTML + BOOK,
        BOOK + HTML,
        b"\x89PNG\r\n\x1a\n" + BOOK,
        BOOK[:-2] + len(HTML).to_bytes(2, "little") + HTML,
    ],
    ids=["png", "gif", "jpeg", "html", "html after a mark", "svg", "pdf", "zip", "html + workbook", "workbook + html",
         "png + workbook", "html in a workbook's remark"],
)  # fmt: skip
def test_a_file_that_is_two_things_is_refused(name, content, fresh, validator):
    from stillroom.records.models import StoredFile

    before = StoredFile.objects.count()
    response = send(validator, fresh, name, content)
    assert response.status_code == 200
    assert "<title>Error: " in response.content.decode()
    assert "<script" not in response.content.decode()
    fresh.refresh_from_db()
    assert fresh.inventory is None and StoredFile.objects.count() == before


def test_the_workbook_that_the_others_hide_in_is_read(fresh, validator):
    assert send(validator, fresh, "a.xlsx", BOOK).status_code == 302


@pytest.mark.parametrize(("size", "status"), [(5_000_001, 200), (6_000_001, 413)])
def test_a_file_that_is_too_large_is_refused(size, status, fresh, validator):
    response = send(validator, fresh, "a.csv", GOOD + b"x" * (size - len(GOOD)))
    assert response.status_code == status
    assert "5 MB" in response.content.decode()
    fresh.refresh_from_db()
    assert fresh.inventory is None


NAMES = [
    "../../x.csv", "..\\..\\x.csv", "/etc/passwd.csv", "a%2f..%2fb.csv", "a%0D%0ASet-Cookie: a=b.csv", "a%22; b=%22c.csv",
    "\u202evsc.exe.csv", "\u2067x\u2069.csv", "x" * 300 + ".csv", "\u7532" * 300 + ".csv", "a\x00.csv", "<b>&.csv", "{{7*7}}.csv",
]  # fmt: skip
"""A browser sends a line break and a quotation mark as %0D, %0A and %22 (HTML standard, multipart form data)."""
RAW = ["a\r\nSet-Cookie: a=b.csv", 'a"; b="c.csv', 'a"\r\nContent-Type: text/html\r\n\r\n.csv']


@pytest.mark.parametrize("name", NAMES)
def test_a_file_name_is_kept_as_plain_text(name, fresh, validator):
    response = send(validator, fresh, name, GOOD)
    assert response.status_code == 302, response.content.decode()
    fresh.refresh_from_db()
    kept = fresh.inventory.name
    assert 4 < len(kept) <= 255
    assert kept.endswith(".csv")
    assert kept.isprintable(), "no line breaks, controls or marks that turn the line round"
    assert not set("/\\") & set(kept)
    page = validator.get(response["Location"])
    assert "<b>" not in page.content.decode()
    assert not any("\r" in value or "\n" in value for value in page.headers.values())


@pytest.mark.parametrize("name", RAW)
def test_a_file_name_that_breaks_out_of_its_line_is_cut_or_refused(name, fresh, validator):
    response = send(validator, fresh, name, GOOD)
    fresh.refresh_from_db()
    assert response.status_code == 200 or fresh.inventory.name.isprintable()
    assert "Set-Cookie" not in response.headers


@pytest.mark.parametrize("name", [*NAMES, *RAW])
def test_a_name_that_came_another_way_is_plain_too(name, ours):
    from stillroom.records.store import keep_file

    kept = keep_file(ours.organisation, ours.people["validator"], name=name, content=GOOD)
    assert kept.name.isprintable() and len(kept.name) <= 255


def test_no_page_gives_back_a_file_that_was_sent():
    """What people sent is read and shown as text; nothing serves its bytes, so no file can pose as a page."""
    import stillroom.web

    folder = Path(stillroom.web.__file__).parent
    found = {path.relative_to(folder).as_posix() for path in folder.rglob("*.py")
             if re.search(r"HttpResponse\([^)]*\.content\b|FileResponse|StreamingHttpResponse", path.read_text("utf-8"))}  # fmt: skip
    assert found == set()


# ---- out: tables

STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "\0")
WORDS = st.one_of(
    st.text(max_size=30),
    st.sampled_from([*STARTS, "'", "''"]).flatmap(lambda a: st.text(max_size=9).map(a.__add__)),
)


def back(cell: str) -> str:
    """What was there before: one apostrophe is taken away where something that starts a formula follows."""
    starts = cell.startswith("'") and cell.lstrip("'").startswith((*STARTS, "|", "%", "＝", "＋", "－", "＠"))
    return cell[1:] if starts else cell


def safe(cell: str) -> bool:
    return not cell.startswith(STARTS)


@given(WORDS, st.floats(allow_nan=False, allow_infinity=False))
@example("=HYPERLINK(1)", -3.5)
@example("'=1", 1.0)
def test_a_fleet_table_starts_no_formula_and_reads_back(words, number):
    # a table in text has neither lone surrogates nor, in csv's reader, a difference between line ends inside a cell
    words = words.encode("utf-8", "ignore").decode()
    row = dict.fromkeys(fleet.COLUMNS, words) | {"life_days_p05": number}
    _head, cells = csv.reader(io.StringIO(fleet.as_csv([row]), newline=""))
    for column, cell in zip(fleet.COLUMNS, cells, strict=True):
        if column == "life_days_p05":
            assert float(cell) == number, "a number stays a number"
        else:
            assert safe(cell)
            assert back(cell) == words


@settings(deadline=None)
@given(WORDS)
@example("=1+1")
def test_what_is_due_starts_no_formula_in_csv_and_xlsx(words):
    from python_calamine import CalamineWorkbook

    from stillroom.services.due import Due
    from stillroom.services.due_files import as_csv, as_xlsx

    words = words.encode("utf-8", "ignore").decode()
    more = dict.fromkeys(("site", "room", "place", "what", "why"), words)
    item = Due("visit", "abc123abc123", words, date=date(2026, 12, 1), days=-3, **more)
    _head, cells = csv.reader(
        io.StringIO(as_csv([item], link=lambda _: words).decode("utf-8-sig"), newline="")
    )
    assert cells[1] == "-3"
    assert all(safe(cell) and back(cell) == words for cell in cells[3:])
    book = as_xlsx([item], link=lambda _: words, made=datetime(2026, 12, 1, tzinfo=UTC))
    import zipfile

    with zipfile.ZipFile(io.BytesIO(book)) as archive:
        sheet = archive.read("xl/worksheets/sheet1.xml").decode()
    assert not re.search(r"<f[\s>]|<hyperlink", sheet)
    if words.isprintable() and words.strip() == words != "":
        assert (
            CalamineWorkbook.from_filelike(io.BytesIO(book)).get_sheet_by_index(0).to_python()[1][3] == words
        )


def test_a_plan_of_places_starts_no_formula(tmp_path):
    from click.testing import CliRunner

    from stillroom.cli.commands.place import command

    (tmp_path / "list.csv").write_text('name,cas,amount,unit\n"=1+1",108-88-3,1,L\n"@toluene",108-88-3,1,L\n')
    done = CliRunner().invoke(
        command, [str(tmp_path / "list.csv"), "--cabinet", "full-height", "--out", str(tmp_path / "out")]
    )
    tables = list((tmp_path / "out").glob("*.csv"))
    assert tables, done.output
    for table in tables:
        with table.open(newline="", encoding="utf-8-sig") as file:
            rows = list(csv.reader(file))
        assert len(rows) == 3
        assert all(safe(cell) for row in rows for cell in row)


def test_every_table_that_leaves_goes_through_the_same_door():
    """A new writer of CSV uses `plain_cell`; these write what only Stillroom itself reads, or fixed words."""
    import stillroom

    folder = Path(stillroom.__file__).parent
    own = {"web/shared/core.py", "web/table/form.py", "fleet/synthetic.py"}
    writers = {path.relative_to(folder).as_posix(): path.read_text("utf-8") for path in folder.rglob("*.py")
               if re.search(r"csv\.(writer|DictWriter)\(", path.read_text("utf-8"))}  # fmt: skip
    assert own <= set(writers)
    assert [name for name, text in writers.items() if name not in own and "plain_cell(" not in text] == []


# ---- out: the maker of PDFs asks nobody

PRESS = """
import sys
from documents.sample_record import sample_record
from documents.test_text import _poisoned
from stillroom.services.papers import papers
record = _poisoned(sample_record(), '#import "@preview/cetz:0.3.0": * #read("/etc/passwd") #image("http://invented.invalid/a.png")')
print(sorted(name for name, paper in papers(record).items() if paper[:5] == b"%PDF-"))
"""
CONTROL = """
import pathlib, sys, tempfile, typst
place = pathlib.Path(tempfile.mkdtemp())
(place / "a.typ").write_text('#import "@preview/cetz:0.3.0": *')
try:
    typst.compile(str(place / "a.typ"), root=str(place))
except typst.TypstError:
    pass
"""


def run(code: str, *before: str, **more: str) -> str:
    tests = str(Path(__file__).resolve().parents[1])
    done = subprocess.run(
        [*before, sys.executable, "-c", code],
        env=os.environ | {"PYTHONPATH": tests} | more,
        capture_output=True,
        text=True,
        timeout=HANGS,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


def asked_of_the_network(code: str, cache: Path) -> int:
    """How often a program asked for something from outside; every way out leads to a door that we watch."""
    with socket.create_server(("127.0.0.1", 0)) as door:
        asked = []

        def answer() -> None:
            while True:
                try:
                    caller, _ = door.accept()
                except OSError:
                    return
                asked.append(caller.recv(100))
                caller.close()

        watcher = threading.Thread(target=answer)
        watcher.start()
        way = f"http://127.0.0.1:{door.getsockname()[1]}"
        names = ("http_proxy", "https_proxy", "all_proxy")
        ways = {name: way for plain in names for name in (plain, plain.upper())}
        run(code, **ways, NO_PROXY="", no_proxy="", XDG_CACHE_HOME=str(cache), XDG_DATA_HOME=str(cache))
        door.shutdown(socket.SHUT_RDWR)
    watcher.join(10)
    return len(asked)


def test_papers_fetch_nothing(tmp_path):
    assert asked_of_the_network(CONTROL, tmp_path) >= 1, "the door is where a fetch would go"
    assert asked_of_the_network(PRESS, tmp_path) == 0


@pytest.mark.skipif(not shutil.which("strace"), reason="strace, which shows what is opened, is not installed")
def test_papers_open_no_file_but_their_own(tmp_path):
    seen = tmp_path / "seen"
    said = run(PRESS, "strace", "-f", "-qq", "-e", "trace=open,openat,connect", "-o", str(seen))
    assert said.count(".pdf") == 4
    lines = seen.read_text(errors="replace").splitlines()
    assert any("record.typ" in line for line in lines), "it is seen what is opened"
    assert [line for line in lines if "passwd" in line or "connect(" in line] == []
    first = next(number for number, line in enumerate(lines) if "record.typ" in line)
    opened = {path for line in lines[first:] for path in re.findall(r'"([^"]+)", O_RDONLY[^)]*\) = \d', line)}
    package = str(Path(fleet.__file__).parents[1])
    text = {path for path in opened if not path.endswith((".py", ".pyc", ".so"))}
    own = (package, sys.prefix, sys.base_prefix, "/proc/", "/sys/", "/usr/share/", "/dev/")
    assert {path for path in text if Path(path).is_file() and not path.startswith(own)} == set()


def test_templates_read_only_what_they_are_given():
    folder = Path(fleet.__file__).parents[1] / "documents" / "templates"
    asked = re.compile(
        r"@preview|@local|\b(?:read|eval|plugin|include|csv|yaml|toml|xml|cbor|bibliography)\s*\(|#include|image\((?!bytes\()|json\((?!bytes\()"
    )
    files = list(folder.glob("*.typ"))
    assert len(files) >= 4
    for file in files:
        source = file.read_text("utf-8")
        assert not asked.search(source), (file.name, asked.search(source))
        assert set(re.findall(r'#import\s+"([^"]+)"', source)) <= {"common.typ"}
