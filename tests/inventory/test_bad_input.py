"""What is wrong in a file is said with its place and its mend; all of it at once; never a traceback.

All inventories here are invented.
"""

import io
import re
import zipfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stillroom import inventory
from stillroom.errors import InputError, Problem

HEADER = "Chemical name,CAS No.,Container size,Unit,Qty,Phase,Strength,Cap,Opened per week,Remarks"
GOOD = "Acetone,67-64-1,2.5,L,2,liquid,,screw cap,2,"
COLUMNS = HEADER.split(",")
UNWELCOME = re.compile(r"please|sorry|\bvalid\b|invalid|forbidden|illegal|oops|traceback", re.IGNORECASE)


def problems_of(data: bytes | str, name: str = "list.csv") -> tuple[Problem, ...]:
    with pytest.raises(InputError) as caught:
        inventory.read_bytes(data.encode() if isinstance(data, str) else data, name)
    assert caught.value.exit_status == 2
    for problem in caught.value.problems:
        assert problem.what
        assert problem.mend.endswith(".")
        assert problem.file == name
        assert not UNWELCOME.search(str(problem)), str(problem)
    return caught.value.problems


def row(**cells: str) -> str:
    """A good row of acetone with some cells replaced, by number of column: c0 …"""
    values = GOOD.split(",")
    for key, value in cells.items():
        values[int(key[1:])] = f'"{value}"' if "," in value else value
    return ",".join(values)


CELLS = [
    # column, value, words of the fault, words of the mend
    (1, "67-64-2", "check digit", "has 67-64-1"),
    (
        1,
        "108-88-3",
        "means acetone (67-64-1) and the CAS number 108-88-3 means toluene",
        "label on the container",
    ),
    (1, "7/1/1967", "turned the CAS number into a date", "as text"),
    (1, "01.07.1967", "into a date", "as text"),
    (1, "1967-01-07", "into a date", "as text"),
    (1, "1967-01-07 00:00:00", "into a date", "as text"),
    (1, "7-Jan-67", "into a date", "as text"),
    (1, "Jan-67", "into a date", "as text"),
    (1, "24479", "day number of 1967-01-07", "as text"),
    (1, "67641", "lost its hyphens", "67-64-1"),
    (1, "67-64", "not shaped like a CAS number", "label"),
    (1, "abc", "not shaped like a CAS number", "has 67-64-1"),
    (1, "67-64-1; 108-88-3", "several CAS numbers", "one row for each"),
    (2, "-2.5", "not more than nothing", "size of one container"),
    (2, "0", "not more than nothing", "size of one container"),
    (2, "NaN", "not a finite number", "like 2.5"),
    (2, "inf", "not a finite number", "like 2.5"),
    (2, "1e999", "not a finite number", "like 2.5"),
    (2, "2000", "more than one container holds", "one container"),
    (2, "", "size of the container is missing", "2.5 L or 500 g"),
    (2, "lots", "not an amount", "2.5 L or 500 g"),
    (2, "2.5.1", "not a number", "like 2.5"),
    (2, "500 mL", "one unit and the unit column another", "Keep one"),
    (2, "#REF!", "could not compute", "value itself"),
    (3, "furlong", "unit “furlong” is not known", "L, mL, kg, g or mg"),
    (3, "bottles", "counts containers", "L, mL, kg, g or mg"),
    (3, "oz", "weight or a volume", "fl oz"),
    (3, "mol", "amount of substance", "mass in g"),
    (3, "", "has no unit", "2.5 L or 2.5 g"),
    (4, "2.5", "not a whole number", "how many"),
    (4, "0", "less than one", "delete the row"),
    (4, "-1", "less than one", "delete the row"),
    (4, "100000", "more than 10000", "how many"),
    (4, "some", "not a number", "a number"),
    (4, "NaN", "not a finite number", "a number"),
    (5, "plasma", "state is not known", "liquid, solid, gas or solution"),
    (6, "strong", "", ""),
    (6, "0.37", "has no unit", "0.37 % or 1 M"),
    (6, "120 %", "not between 0 and 100", "37 %"),
    (6, "37 kg", "not a strength", "37 % or 1 M"),
    (8, "sometimes", "no number of openings", "daily"),
    (8, "-1", "between 0 and 500", "a number like 2"),
    (8, "1000", "between 0 and 500", "a number like 2"),
    (8, "NaN", "no number of openings", "daily"),
]


@pytest.mark.parametrize(("column", "value", "what", "mend"), [case for case in CELLS if case[2]])
def test_a_wrong_cell(column: int, value: str, what: str, mend: str) -> None:
    text = "\n".join([HEADER, GOOD, "", row(**{f"c{column}": value}), GOOD])
    (problem,) = problems_of(text)
    assert problem.row == 4  # the blank line counts, as in a spreadsheet
    assert problem.column == COLUMNS[2 if value == "" and column == 3 else column]
    assert what in problem.what
    assert mend in problem.mend
    assert value.split(",")[0] in problem.found or column == 3


def test_a_strength_in_words_alone_is_not_taken_for_pure() -> None:
    problems = problems_of("\n".join([HEADER, row(c6="strong")]))
    assert "strength" in problems[0].what or "strength" in problems[0].mend


def test_neither_name_nor_number() -> None:
    (problem,) = problems_of("\n".join([HEADER, row(c0="", c1="")]))
    assert (problem.row, problem.column) == (2, "Chemical name")
    assert "neither a name nor a CAS number" in problem.what


def test_two_strengths_that_differ() -> None:
    (problem,) = problems_of("\n".join([HEADER, row(c0="Hydrochloric acid 37 %", c1="7647-01-0", c6="10 %")]))
    assert problem.column == "Strength"
    assert "37 %" in problem.what
    assert "10 %" in problem.what


def test_a_size_and_a_count_that_may_multiply() -> None:
    (problem,) = problems_of("\n".join([HEADER, row(c2="4 x 500", c3="mL", c4="2")]))
    assert problem.column == "Qty"
    assert "4 or 8" in problem.what


def test_a_thousand_or_a_decimal() -> None:
    problems = problems_of("name;amount;unit\nacetone;1,234;L\ntoluene;1,500;mL")
    assert [problem.row for problem in problems] == [2, 3]
    assert all("thousand or a decimal" in problem.what for problem in problems)
    # where the file shows its mark elsewhere, the number is read
    read = inventory.read_bytes(b"name;amount;unit\nacetone;1,234;g\ntoluene;2,5;L", "list.csv")
    assert read.containers[0].amount.value == pytest.approx(1.234e-3)


def test_all_wrong_rows_at_once_in_their_order() -> None:
    text = "\n".join([HEADER, row(c1="67-64-2", c2="-1"), GOOD, row(c3="furlong"), row(c4="x"), "a,b"])
    problems = problems_of(text)
    assert [problem.row for problem in problems] == [2, 2, 4, 5, 6]
    assert {problem.column for problem in problems} == {"CAS No.", "Container size", "Unit", "Qty", ""}


def test_a_decimal_comma_among_commas_is_a_ragged_row() -> None:
    (problem,) = problems_of("name,amount,unit\nacetone,2,5,L\ntoluene,1,L")
    assert problem.row == 2
    assert "4 cells and the header 3" in problem.what
    assert "semicolons" in problem.mend


def test_a_row_too_short() -> None:
    (problem,) = problems_of("name,amount,unit,count\nacetone,2.5\ntoluene,1,L,1")
    assert problem.row == 2
    assert "2 cells and the header 4" in problem.what


PNG = b"\x89PNG\r\n\x1a\n" + bytes(range(256))
OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(512)


@pytest.mark.parametrize(
    ("data", "name", "what", "mend"),
    [
        (b"", "list.csv", "empty", "header row"),
        (b" \r\n\r\n ", "list.csv", "empty", "header row"),
        (b"\xef\xbb\xbf", "list.csv", "empty", "header row"),
        (b"\xff\xfe", "list.csv", "empty", "header row"),
        (HEADER.encode(), "list.csv", "nothing under it", "row for each"),
        (b"foo,bar\n1,2", "list.csv", "no header row", "name, cas, amount, unit"),
        (b"name,cas\nacetone,67-64-1", "list.csv", "no column holds the size", "amount"),
        (
            b"Name,CAS,CAS No.,Amount\na,b,c,d",
            "list.csv",
            "“CAS” and “CAS No.” both mean",
            "Delete or rename",
        ),
        (
            b"Name,Qty,Quantity,Pack size\na,b,c,d",
            "list.csv",
            "“Qty” and “Quantity” both",
            "Delete or rename",
        ),
        (PNG, "list.csv", "picture", ".xlsx or .csv"),
        (b"%PDF-1.7 ...", "list.csv", "PDF", ".xlsx or .csv"),
        (OLE, "list.csv", "old Excel", ".xlsx or .csv"),
        (OLE, "list.xls", "ends in .xls", ".xlsx or .csv"),
        (OLE, "list.xlsx", "old Excel", ".xlsx or .csv"),
        (b"PK\x03\x04rest", "list.csv", "zip archive", ".xlsx or .csv"),
        (b"PK\x03\x04rest", "list.xlsx", "damaged", ".xlsx"),
        (b"name,amount\nacetone,1 L", "list.xlsx", "no workbook", ".xlsx or .csv"),
        (b"name,amount\nacetone,1 L", "list", "no ending", ".xlsx or .csv"),
        (b"name,amount\nacetone,1 L", "list.exe", "ends in .exe", ".xlsx or .csv"),
        (bytes(range(1, 32)) * 10, "list.csv", "binary", ".xlsx or .csv"),
        (b"\x00\x01\x02\x03" * 100, "list.csv", "", ""),
        (b"name,amount\nac\x81tone,1 L", "list.csv", "not text in UTF-8, UTF-16 or Windows-1252", "UTF-8"),
        ("name,amount".encode("utf-32"), "list.csv", "UTF-32", "UTF-8"),
        (b"<!DOCTYPE html><table>", "list.csv", "web page", ".xlsx or .csv"),
        (b"name,amount\n" + b"x" * 10_000_001, "list.csv", "10 MB", "Save only the list"),
        (b"name,amount\n" + b"acetone,1 L\n" * 5001, "list.csv", "5001 rows", "Split"),
    ],
)
def test_a_wrong_file(data: bytes, name: str, what: str, mend: str) -> None:
    (problem,) = problems_of(data, name)
    assert what in problem.what
    assert mend in problem.mend


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="could not be opened"):
        inventory.read(tmp_path / "none.csv")
    with pytest.raises(InputError, match="could not be opened"):
        inventory.read(tmp_path)


def workbook(sheet: bytes, **more: bytes) -> bytes:
    """The least that is called a workbook."""
    parts = {
        "[Content_Types].xml": b'<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"/>',
        "xl/workbook.xml": b"<workbook/>",
        "xl/worksheets/sheet1.xml": sheet,
        **more,
    }
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return stream.getvalue()


def test_a_zip_bomb_is_refused_before_it_is_unpacked() -> None:
    (problem,) = problems_of(workbook(b"0" * 150_000_000), "list.xlsx")
    assert "unpacks to 150 MB" in problem.what


def test_a_zip_that_lies_about_its_sizes_is_refused() -> None:
    data = workbook(b"<worksheet/>", **{"xl/big.xml": b"0" * 1_000_000})
    size = (1_000_000).to_bytes(4, "little")
    assert data.count(size) == 2
    (problem,) = problems_of(data.replace(size, (10).to_bytes(4, "little")), "list.xlsx")
    assert "damaged" in problem.what


def test_many_members_are_refused() -> None:
    many = {f"xl/x{number}.xml": b"" for number in range(2001)}
    (problem,) = problems_of(workbook(b"", **many), "list.xlsx")
    assert "unpacks" in problem.what


def test_a_cell_at_the_far_end_of_a_sheet_is_refused() -> None:
    # a reader would hold the whole rectangle: 17 thousand million cells
    sheet = (
        b'<worksheet><sheetData><row r="1048576"><c r="XFD1048576"><v>1</v></c></row></sheetData></worksheet>'
    )
    (problem,) = problems_of(workbook(sheet), "list.xlsx")
    assert "row 1048576" in problem.what
    assert "Delete the empty rows" in problem.mend


def test_a_zip_that_is_no_workbook() -> None:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as archive:
        archive.writestr("word/document.xml", b"<x/>")
    (problem,) = problems_of(stream.getvalue(), "list.xlsx")
    assert "no Excel workbook" in problem.what


def test_a_workbook_without_sheets() -> None:
    problems_of(workbook(b""), "list.xlsx")


@settings(max_examples=200)
@given(st.binary(max_size=400), st.sampled_from(["a.csv", "a.xlsx", "a.txt"]))
def test_no_bytes_do_worse_than_an_explained_refusal(data: bytes, name: str) -> None:
    try:
        inventory.read_bytes(data, name)
    except InputError as error:
        assert error.problems


@settings(max_examples=150, deadline=None)
@given(st.lists(st.text(max_size=12), min_size=10, max_size=10))
def test_no_cells_do_worse_than_an_explained_refusal(cells: list[str]) -> None:
    try:
        inventory.from_rows([dict(zip(COLUMNS, cells, strict=True))], name="form")
    except InputError as error:
        assert error.problems
        assert not any(UNWELCOME.search(problem.what + problem.mend) for problem in error.problems)
