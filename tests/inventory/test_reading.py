"""Inventories as people save them. All are invented."""

import csv
import hashlib
import io
import re
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import stillroom
from stillroom import inventory
from stillroom.errors import InputError
from stillroom.inventory.words import closure_of, column_of, material_of, openings_of, state_of

NAMES = [
    "acetone",
    "toluene",
    "methanol",
    "ethanol",
    "pyridine",
    "n-hexane",
    "xylene",
    "chloroform",
    "aniline",
    "1-butanol",
]


def read(text: str, name: str = "list.csv") -> inventory.Inventory:
    return inventory.read_bytes(text.encode(), name)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252"])
@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("decimal", [".", ","])
@pytest.mark.parametrize("newline", ["\n", "\r\n", "\r"])
def test_encodings_separators_decimal_marks(
    encoding: str, separator: str, decimal: str, newline: str
) -> None:
    stream = io.StringIO()
    writer = csv.writer(stream, delimiter=separator, lineterminator=newline)
    writer.writerow(["Bezeichnung", "CAS-Nr.", "Gebindegröße", "Einheit", "Anzahl", "Bemerkung"])
    writer.writerow(["Aceton", "67-64-1", f"2{decimal}5", "L", "2", "Schrank für Lösemittel"])
    writer.writerow(["Salzsäure 37 %", "7647-01-0", f"0{decimal}5", "L", "1", "é à ü ß"])
    found = inventory.read_bytes(stream.getvalue().encode(encoding), "Liste.csv")
    first, second = found.containers
    assert (first.amount.value, first.count, first.row) == (pytest.approx(2.5e-3, rel=1e-12), 2, 2)
    assert second.amount.value == pytest.approx(5e-4, rel=1e-12)
    assert second.note == "é à ü ß"
    assert found.reading["amount"] == "Gebindegröße"
    assert found.reading["separator"] == {",": "comma", ";": "semicolon", "\t": "tab"}[separator]
    assert found.reading["decimal mark"] == {",": "comma", ".": "point"}[decimal]
    assert {"utf-8": "UTF-8", "utf-8-sig": "UTF-8", "cp1252": "Windows-1252"}.get(encoding, "UTF-16") in (
        found.reading["encoding"]
    )


def test_big_endian_with_its_mark() -> None:
    data = "\ufeffname,amount\nacetone,1 L\n".encode("utf-16-be")
    assert inventory.read_bytes(data, "a.csv").reading["encoding"] == "UTF-16 (big-endian)"


def test_the_hash_is_over_the_raw_bytes() -> None:
    data = b"\xef\xbb\xbfname,amount\r\nacetone,1 L\r\n"
    assert inventory.read_bytes(data, "a.csv").sha256 == hashlib.sha256(data).hexdigest()


def test_a_line_that_names_the_separator() -> None:
    found = read("sep=;\nname;amount\nacetone;1 L")
    assert found.containers[0].row == 3
    assert found.reading["separator"] == "semicolon"


def test_header_order_is_free_and_the_reading_is_kept() -> None:
    found = read("Remarks,Qty,CAS #,Container size,Chemical name,Supplier\nx,3,67-64-1,2.5 L,Acetone,Someone")
    assert {key: found.reading[key] for key in ("note", "count", "cas", "amount", "name")} == {
        "note": "Remarks", "count": "Qty", "cas": "CAS #", "amount": "Container size", "name": "Chemical name",
    }  # fmt: skip
    assert found.containers[0].count == 3
    assert any("“Supplier”" in warning and "not read" in warning for warning in found.warnings)


def test_quantity_is_the_amount_where_nothing_else_is() -> None:
    found = read("Substance,Quantity,Unit\nAcetone,2.5,L")
    assert found.reading["amount"] == "Quantity"
    assert found.containers[0].amount.value == pytest.approx(2.5e-3)


def test_a_unit_in_the_header() -> None:
    found = read("Name,Size (mL),Qty\nAcetone,500,2")
    assert found.containers[0].amount.value == pytest.approx(5e-4)
    assert found.reading["unit"] == "from the header “Size (mL)”"


def test_a_percent_sign_in_the_header() -> None:
    found = read("Name,Amount,Concentration (%)\nHydrochloric acid,1 L,37")
    assert found.containers[0].components[0].mass_fraction == pytest.approx(0.37)


def test_lines_above_the_header_totals_and_blank_lines() -> None:
    text = "Chemical store,,\nRoom 12 (invented),,\n\nName,Amount,Count\n\nAcetone,1 L,2\n,,\nTotal,,2\n"
    found = read(text)
    assert [container.row for container in found.containers] == [6]
    assert found.containers[0].key == "r6"
    assert "skipped above the header: row 1, 2" in found.warnings
    assert "row 8 is a total and was skipped" in found.warnings


def test_too_many_lines_above_the_header() -> None:
    with pytest.raises(InputError, match="no header row"):
        read("a,b\n" * 11 + "Name,Amount\nAcetone,1 L")
    assert read("a,b\n" * 10 + "Name,Amount\nAcetone,1 L").containers


def test_a_column_without_a_header_is_not_passed_over() -> None:
    found = read("Name,Amount,,Note\nAcetone,1 L,secret,x")
    assert any("column 3, which has no header" in warning for warning in found.warnings)


def test_a_quoted_line_break_is_one_row() -> None:
    found = read('Name,Amount,Note\nAcetone,1 L,"two\nlines"\nToluene,1 L,x')
    assert [container.row for container in found.containers] == [2, 3]


def test_rows_of_a_form() -> None:
    rows = [{"name": "Acetone", "amount": "1 L", "cas": ""}, {"name": "Toluene", "amount": "-1 L", "cas": ""}]
    with pytest.raises(InputError) as caught:
        inventory.from_rows(rows, name="form")
    (problem,) = caught.value.problems
    assert (problem.row, problem.column, problem.file) == (2, "amount", "form")
    found = inventory.from_rows(rows[:1], name="form")
    assert found.containers[0].row == 1
    assert found.sha256 == inventory.from_rows(rows[:1], name="other").sha256
    assert found.sha256 != inventory.from_rows([{**rows[0], "amount": "2 L"}], name="form").sha256


@pytest.fixture
def book(tmp_path: Path):
    import xlsxwriter

    def write(rows: list[list[object]], *, before: list[list[object]] | None = None) -> Path:
        path = tmp_path / "list.xlsx"
        with xlsxwriter.Workbook(path) as workbook:
            text_date = workbook.add_format({"num_format": "d/m/yyyy"})
            for name, content in (("Read me", before), ("Stock", rows)):
                if content is None:
                    continue
                sheet = workbook.add_worksheet(name)
                for place, cells in enumerate(content):
                    for column, cell in enumerate(cells):
                        if isinstance(cell, date):
                            sheet.write_datetime(place, column, cell, text_date)
                        else:
                            sheet.write(place, column, cell)
        return path

    return write


def test_a_workbook(book) -> None:
    rows = [["Chemical name", "CAS No.", "Size", "Unit", "Qty"], ["Acetone", "67-64-1", 2.5, "L", 2],
            ["Toluene", "108-88-3", 1.234, "L", 1.0], ["Methanol", "67-56-1", "2,5", "L", 3]]  # fmt: skip
    found = inventory.read(book(rows, before=[["Notes on this list"]]))
    values = [container.amount.value for container in found.containers]
    assert values == pytest.approx([2.5e-3, 1.234e-3, 2.5e-3], rel=1e-12)
    assert [container.count for container in found.containers] == [2, 1, 3]
    assert found.reading["sheet"] == "Stock"
    assert found.warnings[0] == "only the sheet “Stock” was read; not read: Read me"


def test_a_number_in_a_workbook_is_never_a_thousand(book) -> None:
    rows = [
        ["Name", "Size", "Unit"],
        ["Acetone", 1.234, "L"],
        ["Toluene", "2,5", "L"],
        ["Methanol", "0,5", "L"],
    ]
    assert inventory.read(book(rows)).containers[0].amount.value == pytest.approx(1.234e-3)


def test_dates_and_serial_numbers_in_a_workbook(book) -> None:
    rows = [["Name", "CAS", "Size"], ["Acetone", date(1967, 1, 7), "1 L"], ["Toluene", 24479, "1 L"]]
    with pytest.raises(InputError) as caught:
        inventory.read(book(rows))
    assert [problem.row for problem in caught.value.problems] == [2, 3]
    assert all(
        "into a date" in problem.what and "as text" in problem.mend for problem in caught.value.problems
    )


def test_short_rows_of_a_workbook_are_not_ragged(book) -> None:
    assert (
        len(
            inventory.read(
                book([["Name", "Size", "Note"], ["Acetone", "1 L"], ["Toluene", "1 L", "x"]])
            ).containers
        )
        == 2
    )


@pytest.mark.parametrize(
    ("headers", "column"),
    [
        ("Chemical name|Name|Substance|Bezeichnung|Nom du produit|Nombre químico|NAME OF CHEMICAL", "name"),
        ("CAS|CAS No.|CAS #|CAS-Nr.|CAS number|N° CAS|CASRN|Número CAS|cas_no", "cas"),
        ("Container size|Pack size|Amount|Gebindegröße|Contenance|Tamaño|Volume (mL)|Amount [g]", "amount"),
        ("Unit|UOM|Einheit|Unité|Unidad", "unit"),
        ("Number of bottles|No. of containers|Count|Anzahl|Nombre de flacons|# bottles", "count"),
        ("Qty|Quantity|Menge|Quantité|Cantidad", "amount or count"),
        ("Phase|State|Physical state|Aggregatzustand|État physique|Estado físico", "state"),
        ("Strength|Conc.|Concentration (%)|Konzentration|Concentración", "concentration"),
        ("Container|Packaging|Bottle type|Behälter|Contenant|Envase", "container"),
        ("Closure|Cap|Verschluss|Bouchon|Cierre", "closure"),
        ("opened_per_week|Opened per week|Öffnungen pro Woche|Ouvertures par semaine", "opened_per_week"),
        ("Remarks|Notes|Comment|Bemerkungen|Remarques|Observaciones", "note"),
        ("Supplier|Hersteller|Lot|Location|Expiry", ""),
    ],
)
def test_headers(headers: str, column: str) -> None:
    assert {header: column_of(header) for header in headers.split("|")} == dict.fromkeys(
        headers.split("|"), column
    )


@pytest.mark.parametrize(
    ("words", "closure"),
    [
        ("screw cap|GL45|Schraubverschluss|threaded cap", "screw cap without liner"),
        ("screw cap with liner|PTFE-lined cap|lined", "screw cap with liner"),
        ("stopper|ground glass|NS 29 Schliffstopfen", "ground-glass stopper"),
        ("septum|crimp top", "septum cap"),
        ("vented|vented cap", "vented cap"),
        ("ampoule|Ampulle", "sealed ampoule"),
        ("snap cap|snap-on lid", "snap cap"),
        ("open|none", "open"),
        ("|unknown|not stated", "not stated"),
        ("hermetic hatch", None),
    ],
)
def test_closures(words: str, closure: str | None) -> None:
    assert {word: closure_of(word) for word in words.split("|")} == dict.fromkeys(words.split("|"), closure)


def test_materials_states_and_openings() -> None:
    materials = {"Amber glass bottle": "amber glass", "HDPE": "HDPE", "Plastic": "plastic", "tin": "metal",
                 "Winchester": "glass", "lecture bottle": "gas cylinder", "wicker": "wicker"}  # fmt: skip
    assert {word: material_of(word) for word in materials} == materials
    states = {"Liquid": "liquid", "fest": "solid", "Poudre": "solid", "gaz": "gas", "aqueous solution": "solution",
              "plasma": None}  # fmt: skip
    assert {word: state_of(word) for word in states} == states
    openings = {
        "daily": 5.0,
        "weekly": 1.0,
        "never": 0.0,
        "sealed": 0.0,
        "täglich": 5.0,
        "now and then": None,
    }
    assert {word: openings_of(word) for word in openings} == openings


def test_closure_container_and_openings_reach_the_container() -> None:
    rows = [
        "Name,Amount,Container,Cap,Opened per week",
        "Acetone,2 x 2.5 l Winchester,,GL45,daily",
        "Toluene,1 L,amber glass,septum,0.5",
        "Osmium tetroxide,1 g,ampoule,,",
        "Methanol,1 L,can,,2 x week",
        "Pyridine,1 L,glass,hermetic hatch,never",
    ]
    found = read("\n".join(rows))
    got = [(c.material, c.closure, c.opened_per_week, c.opened_stated, c.count) for c in found.containers]
    assert got == [
        ("glass", "screw cap without liner", 5.0, True, 2),
        ("amber glass", "septum cap", 0.5, True, 1),
        ("glass", "sealed ampoule", 1.0, False, 1),
        ("metal", "metal can", 2.0, True, 1),
        ("glass", "not stated", 0.0, True, 1),
    ]
    assert "row 6: the closure “hermetic hatch” is not known and counts as not stated" in found.warnings


def test_unknown_contents_stay_and_are_marked() -> None:
    found = read(
        "Name,Amount\nunknown white powder,100 g\nwaste bottle,5 L\nSample 14,50 mL\ntolune,1 L\nAcetone,1 L"
    )
    assert [container.known for container in found.containers] == [False, False, False, False, True]
    assert all(not container.components and container.unknown_reason for container in found.containers[:4])
    assert "toluene (108-88-3)" in found.containers[3].unknown_reason
    assert sum("not known" in warning for warning in found.warnings) == 4


@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.sampled_from(NAMES),
            st.decimals(min_value="0.01", max_value="900", places=2),
            st.sampled_from(["mL", "L", "g", "kg"]),
            st.integers(min_value=1, max_value=99),
            st.text(alphabet=st.characters(codec="cp1252", categories=["L", "N", "P", "Zs"]), max_size=20),
        ),
        min_size=1,
        max_size=8,
    ),
    st.sampled_from(["utf-8-sig", "utf-16", "utf-8"]),
    st.sampled_from([",", ";", "\t"]),
    st.sampled_from([".", ","]),
    st.permutations(range(5)),
)
def test_what_is_written_is_read_back(rows, encoding, separator, decimal, order) -> None:
    header = ["Name", "Size", "Unit", "Count", "Note"]
    stream = io.StringIO()
    writer = csv.writer(stream, delimiter=separator)
    writer.writerow([header[place] for place in order])
    for name, size, unit, count, note in rows:
        cells = [name, str(size).replace(".", decimal), unit, str(count), note]
        writer.writerow([cells[place] for place in order])
    found = inventory.read_bytes(stream.getvalue().encode(encoding), "list.csv")
    assert len(found.containers) == len(rows)
    factor = {"mL": 1e-6, "L": 1e-3, "g": 1e-3, "kg": 1.0}
    for container, (name, size, unit, count, note) in zip(found.containers, rows, strict=True):
        assert container.name == name
        assert container.amount.value == pytest.approx(float(size) * factor[unit], rel=1e-12)
        assert container.count == count
        assert container.note == " ".join(note.split())


def test_importing_the_room_loads_no_chemistry() -> None:
    code = "import sys, stillroom.inventory; print([m for m in sys.modules if m.split('.')[0] in "
    code += "('chemicals', 'thermo', 'rdkit', 'python_calamine', 'numpy')])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_messages_keep_to_plain_words() -> None:
    """No message begs, blames or threatens (house rule)."""
    unwelcome = re.compile(r"\b(please|sorry|valid|invalid|forbidden|illegal|oops)\b", re.IGNORECASE)
    folder = Path(stillroom.__file__).parent
    rooms = (folder / "inventory", folder / "units")
    files = [file for room in rooms for file in room.glob("*.py")]
    files += [
        folder / "substances" / f"{name}.py" for name in ("identity", "known_names", "names", "solutions")
    ]
    assert len(files) >= 12
    for file in files:
        for literal in re.findall(r"f?\"([^\"\n]*)\"", file.read_text("utf-8")):
            assert not unwelcome.search(literal), (file.name, literal)


def test_the_cells_of_a_file_keep_their_row_numbers_and_mean_nothing_yet() -> None:
    found = inventory.cells("A title\n\nname;amount\nAceton;2,5 L\n".encode("cp1252"), "list.csv")
    assert found == {1: ["A title"], 2: [], 3: ["name", "amount"], 4: ["Aceton", "2,5 L"]}


def reading_of(text: str) -> inventory.Inventory:
    return inventory.read_bytes(text.encode(), "list.csv")


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        # French "Nombre" counts, Spanish "Nombre" names.
        ("Produit;Nombre;Contenance\nToluène;3;1 L\n", {"name": "Produit", "count": "Nombre"}),
        ("Nombre;Cantidad;Envase\nTolueno;1 L;vidrio\n", {"name": "Nombre", "amount": "Cantidad", "container": "Envase"}),
        ("Nombre;N. CAS;Cantidad;Unidades\nTolueno;108-88-3;2,5;L\n", {"name": "Nombre", "unit": "Unidades"}),
        # German "Gebinde": a size, a number, a kind of container.
        ("Bezeichnung;Gebinde;Menge\nToluol;2,5 L;3\n", {"amount": "Gebinde", "count": "Menge"}),
        ("Bezeichnung;Gebinde;Menge\nToluol;3;2,5 L\n", {"amount": "Menge", "count": "Gebinde"}),
        ("Bezeichnung;Gebinde;Menge\nToluol;Glasflasche;2,5 L\n", {"amount": "Menge", "container": "Gebinde"}),
        # Italian.
        ("Nome;Numero CAS;Quantità;Unità;Numero;Contenitore\nToluene;108-88-3;1;litri;2;vetro\n",
         {"name": "Nome", "amount": "Quantità", "unit": "Unità", "count": "Numero", "container": "Contenitore"}),
    ],
)  # fmt: skip
def test_headers_that_mean_several_columns_are_settled_by_the_rest(
    text: str, expected: dict[str, str]
) -> None:
    found = reading_of(text).reading
    assert expected.items() <= found.items(), found


def test_purity_stands_beside_the_concentration() -> None:
    """The concentration decides; where its cell is empty the purity does; a grade is no strength."""
    found = reading_of(
        "Name,CAS,Size,Purity,Conc\nHydrochloric acid,7647-01-0,1 L,99 %,2 M\nEthanol,64-17-5,1 L,70,\nToluene,108-88-3,1 L,p.a.,\n"
    )
    assert (found.reading["purity"], found.reading["concentration"]) == ("Purity", "Conc")
    shares = [round(container.components[0].mass_fraction or 0, 3) for container in found.containers]
    assert shares == [0.070, 0.7, 1.0]  # 2 mol/L HCl: 72.9 g in 1.035 kg


def test_a_purity_that_cannot_be_is_told_with_its_column() -> None:
    with pytest.raises(InputError) as caught:
        reading_of("Name,Size,Purity\nToluene,1 L,130 %\n")
    assert caught.value.problems[0].column == "Purity"
