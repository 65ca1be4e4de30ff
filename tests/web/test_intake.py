"""The inventory comes in: files, pasted tables, a table by hand; wrong ones with place and mend, nothing half-taken."""

from __future__ import annotations

import dataclasses
import io
import re
import zipfile
from html.parser import HTMLParser

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from services.studio import FILES
from stillroom import inventory
from stillroom.records.models import Assessment, StoredFile
from stillroom.records.store import update_draft
from web.conftest import inputs

GOOD = "Chemical name\tCAS No.\tSize\tQty\nToluene\t108-88-3\t2.5 L\t2\nAcetone\t67-64-1\t1 L\t1\n"
WRONG = "name,cas,amount,unit\nToluene,108-88-4,2.5,L\nAcetone,67-64-1,much,L\nEthanol,64-17-5,1,L\n"


@pytest.fixture
def fresh(ours, validator):
    """A new draft, made through the page."""
    response = validator.post(reverse("new"), {"title": "Cabinet 3"})
    case = Assessment.objects.order_by("-pk").first()
    assert response["Location"] == reverse("inventory", kwargs={"key": case.key})
    return case


def send(client, case, name, content):
    file = SimpleUploadedFile(name, content)
    return client.post(reverse("inventory", kwargs={"key": case.key}), {"file": file, "pasted": ""})


def xlsx(rows):
    import xlsxwriter

    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, {"in_memory": True})
    sheet = book.add_worksheet()
    for number, row in enumerate(rows):
        sheet.write_row(number, 0, row)
    book.close()
    return out.getvalue()


def test_a_pasted_table_is_read_and_shown_back(fresh, validator):
    response = validator.post(reverse("inventory", kwargs={"key": fresh.key}), {"pasted": GOOD})
    assert response["Location"] == reverse("reading", kwargs={"key": fresh.key})
    text = validator.get(response["Location"]).content.decode()
    assert "3 containers were read" in text
    assert "Chemical name" in text, "which heading was taken for the name"
    assert "108-88-3" in text
    fresh.refresh_from_db()
    assert bytes(fresh.inventory.content).decode().splitlines() == GOOD.splitlines()


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("bottles.csv", GOOD.replace("\t", ";").encode("utf-16")),
        ("bottles.csv", GOOD.replace("\t", ",").encode("cp1252")),
        ("bottles.xlsx", xlsx([line.split("\t") for line in GOOD.splitlines()])),
    ],
)
def test_files_are_read(name, content, fresh, validator):
    response = send(validator, fresh, name, content)
    assert response.status_code == 302, response.content.decode()
    assert "3 containers were read" in validator.get(response["Location"]).content.decode()


def test_wrong_rows_are_all_named_and_nothing_is_taken(fresh, validator):
    before = StoredFile.objects.count()
    response = send(validator, fresh, "bottles.csv", WRONG.encode())
    text = response.content.decode()
    assert response.status_code == 200
    assert "2 places in the inventory must be mended. Nothing of it was taken." in text
    assert "<q>108-88-4</q>" in text and "<q>much</q>" in text
    assert "<title>Error: " in text
    assert "Toluene\t108-88-4\t2.5\tL\nAcetone" in text, "the rows stand in the box, to be mended there"
    fresh.refresh_from_db()
    assert fresh.inventory is None and StoredFile.objects.count() == before


PNG = b"\x89PNG\r\n\x1a\n" + b"<html><script>alert(1)</script></html>"
BOMB = io.BytesIO()
with zipfile.ZipFile(BOMB, "w", zipfile.ZIP_DEFLATED) as archive:
    archive.writestr("xl/worksheets/sheet1.xml", b"0" * 60_000_000)


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("bottles.pdf", b"%PDF-1.7", "must be a CSV or an XLSX"),
        ("bottles.csv", b"", "is empty"),
        ("bottles.csv", b"x" * 5_000_001, "5 MB or less"),
        ("bottles.xlsx", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"0" * 100, "protected by a password"),
        ("bottles.xlsx", b"name,cas\n", "no workbook"),
        ("bottles.xlsx", BOMB.getvalue(), "too large when unpacked"),
        ("bottles.csv", PNG, "must be mended"),
        ("bottles.csv", bytes(range(256)) * 4, "must be mended"),
    ],
)
def test_a_file_that_is_no_inventory_is_refused_with_its_own_sentence(name, content, words, fresh, validator):
    text = send(validator, fresh, name, content).content.decode()
    assert words in text
    fresh.refresh_from_db()
    assert fresh.inventory is None


def test_a_file_name_is_only_text(fresh, validator):
    response = send(validator, fresh, "../../etc/‮x<b>.csv", GOOD.encode())
    assert response.status_code == 302
    fresh.refresh_from_db()
    assert "/" not in fresh.inventory.name
    assert "<b>" not in validator.get(response["Location"]).content.decode()


def test_a_file_and_a_table_at_once_is_asked_about(fresh, validator):
    data = {"file": SimpleUploadedFile("b.csv", GOOD.encode()), "pasted": GOOD}
    text = validator.post(reverse("inventory", kwargs={"key": fresh.key}), data).content.decode()
    assert "not both" in text


def test_a_table_by_hand(fresh, validator):
    place = reverse("table", kwargs={"key": fresh.key})
    rows = {"name_2": "Toluene", "amount_2": "2.5", "unit_2": "L", "count_2": "2", "name_3": ""}
    more = validator.post(place, rows | {"add": "5"}).content.decode()
    assert 'value="Toluene"' in more and 'id="name_8"' in more, "a row is added without a script"
    wrong = validator.post(place, rows | {"amount_2": "much"}).content.decode()
    assert 'href="#amount_2"' in wrong and 'value="much"' in wrong
    response = validator.post(place, rows)
    assert response["Location"] == reverse("reading", kwargs={"key": fresh.key})
    assert 'value="Toluene"' in validator.get(place).content.decode(), "it can be changed later"


GERMAN = "Bezeichnung;CAS-Nr.;Menge (mL);Anzahl;Verschluss;Bemerkung\nAceton;67-64-1;2,5;3;Schraubverschluss;Regal 2\nToluol;108-88-3;500;1;;\nSumme;;;4;;\n"


@pytest.mark.parametrize(
    ("name", "content"),
    [("demo.csv", (FILES / "inventory.csv").read_bytes()), ("asked.csv", (FILES / "inventory-asked.csv").read_bytes()),
     ("liste.csv", GERMAN.encode())],
)  # fmt: skip
def test_a_file_can_be_gone_on_from_in_the_table(name, content, fresh, validator):
    """What it said stays said, row by row; one more container is added. The files are the demo's, and an invented list."""

    def said(case):
        stored = Assessment.objects.get(pk=case.pk).inventory
        read = inventory.read_bytes(bytes(stored.content), stored.name)
        return [dataclasses.replace(row, row=0, key="") for row in read.containers]

    send(validator, fresh, name, content)
    before = said(fresh)
    address = reverse("inventory", kwargs={"key": fresh.key}) + "?back=check"
    page = validator.get(address).content.decode()
    onward = re.search(r'href="([^"]*/table/[^"]*)"', page)[1]
    shown = parse(validator.get(onward).content.decode())
    free = next(row for row in range(2, 400) if not shown[f"name_{row}"] and not shown[f"cas_{row}"])
    assert free == len(before) + 2, "the rows that are there, then empty ones"
    assert f'href="#name_{free}"' in validator.get(onward).content.decode(), (
        "a telephone shows each row as a page"
    )
    shown |= {f"name_{free}": "Methanol", f"amount_{free}": "1", f"unit_{free}": "L", f"count_{free}": "1"}
    response = validator.post(onward, shown)
    assert response["Location"].endswith("/reading/?back=check"), "straight back to the check page"
    after = said(fresh)
    assert after[:-1] == before
    assert after[-1].components[0].substance.cas == "67-56-1"


def test_a_list_too_long_for_the_table_stands_in_the_field_instead(fresh, validator):
    long = "name\tamount\tunit\n" + "Acetone\t1\tL\n" * 301
    send(validator, fresh, "long.tsv", long.encode())
    place = reverse("inventory", kwargs={"key": fresh.key})
    page = validator.get(place).content.decode()
    assert "Add or change rows in a table" not in page
    assert page.count("Acetone\t1\tL") == 301
    assert (
        "take the place of all that is in long.tsv"
        in validator.get(reverse("table", kwargs={"key": fresh.key})).content.decode()
    )


def test_the_rooms_own_air_is_checked_by_name(ours, fresh, validator):
    room = inputs()["room"] | {"background": [{"cas": "5989-27-5", "mg_m3": 0.4}]}
    update_draft(fresh, ours.people["validator"], room=room)
    page = validator.get(reverse("check", kwargs={"key": fresh.key})).content.decode()
    assert "imonene (5989-27-5) 0.4 mg/m³" in page


def parse(page: str) -> dict[str, str]:
    """What a browser would send from the entries of a page's last form."""
    reader = _Entries()
    reader.feed(page)
    return reader.values


class _Entries(HTMLParser):
    def __init__(self):
        super().__init__()
        self.values: dict[str, str] = {}
        self._select = ""

    def handle_starttag(self, tag, attrs):
        given = dict(attrs)
        if tag == "input" and given.get("name") != "csrfmiddlewaretoken":
            self.values[given["name"]] = given.get("value") or ""
        elif tag == "select":
            self._select = given["name"]
            self.values.setdefault(self._select, "")
        elif tag == "option" and "selected" in given:
            self.values[self._select] = given.get("value") or ""


def test_the_whole_intake_in_the_order_of_its_pages(fresh, validator):
    def post(step, data):
        response = validator.post(reverse(step, kwargs={"key": fresh.key}), data)
        assert response.status_code == 302, response.content.decode()
        return response["Location"].split("/")[-2]

    assert post("inventory", {"pasted": GOOD}) == "reading"
    check = validator.get(reverse("check", kwargs={"key": fresh.key})).content.decode()
    assert "Get the verdict" not in check, "what is missing is named first"
    assert "Not answered yet" in check
    assert post("cabinet", {"choice": "full-height"}) == "filters"
    filters = {"name": "By the window", "flow": "180 m³/h", "particulate": "H13", "age": "400", "detector": "",
               "medium_1": "coal", "mass_1": "7,5", "area_1": "0.3", "medium_2": "", "seal": "usual"}  # fmt: skip
    assert post("filters", filters) == "room"
    room = {"name": "1.14", "volume": "62", "changes": "6", "temperature": "22", "humidity": "45",
            "background": "measured", "vapour_1": "toluene", "mg_1": "0.2"}  # fmt: skip
    assert post("room", room) == "limits"
    assert post("limits", {"niosh-rel": "2", "uk-eh40": "1", "ordering": "first"}) == "by-hand"
    by_hand = {"substance": "toluene", "value": "20", "unit": "ppm", "basis": "TWA", "source": "data sheet"}
    assert post("by-hand", by_hand) == "by-hand"
    from stillroom.web.rules.form import RulesForm

    rules = {name: field.initial for name, field in RulesForm(tables={}).fields.items() if field.initial}
    rules |= {"cleanup_minutes": "10", "fan_stop_hours": "8", "required_interval_days": "180",
              "criterion_fraction": "1", "spill_criterion_too": "no", "excursion_factor": "3", "lfl_fraction": "25",
              "visit_fraction_of_life": "50", "visit_longest_days": "182", "saturation_fraction": "50"}  # fmt: skip
    assert post("rules", rules) == "check"
    fresh.refresh_from_db()
    tables = fresh.inputs
    assert tables["cabinet"]["cabinet"]["flow_m3_h"] == 180
    assert tables["cabinet"]["filters"]["bed"] == [{"medium": "coal", "mass_kg": 7.5, "area_m2": 0.3}]
    assert tables["room"]["background"] == [{"cas": "108-88-3", "mg_m3": 0.2}]
    assert tables["room"]["limits"] == {"lists": ["uk-eh40", "niosh-rel"], "ordering": "first"}
    assert tables["room"]["rules"]["criterion_fraction"] == 0.01
    assert tables["room"]["rules"]["cleanup_minutes"] == 10
    assert (
        validator.get(reverse("check", kwargs={"key": fresh.key})).content.decode().count("Get the verdict")
        == 1
    )
    assert post("check", {"title": "Cabinet 3"}) == fresh.key
    fresh.refresh_from_db()
    assert fresh.verdict == "approved with conditions"
    assert fresh.versions and fresh.inputs_sha256 and fresh.cabinet.name == "By the window"


def test_a_change_link_leads_straight_back(ours, validator):
    place = reverse("limits", kwargs={"key": ours.draft.key})
    assert 'name="back" value="check"' in validator.get(place + "?back=check").content.decode()
    response = validator.post(place, {"uk-eh40": "1", "ordering": "first", "back": "check"})
    assert response["Location"] == reverse("check", kwargs={"key": ours.draft.key})


def test_not_knowing_the_rooms_air_is_an_answer(ours, validator):
    room = {"name": "1.14", "volume": "62", "changes": "6", "temperature": "22", "humidity": "45"}
    place = reverse("room", kwargs={"key": ours.draft.key})
    for answer, tables in (("unknown", None), ("none", [])):
        validator.post(place, room | {"background": answer})
        ours.draft.refresh_from_db()
        assert ours.draft.inputs["room"].get("background") == tables


def test_a_slip_of_the_unit_asks_to_be_confirmed(ours, validator):
    # toluene: 200 ppm in OSHA Table Z-2 (29 CFR 1910.1000) is the highest known; 50 000 is 250 times that
    place = reverse("by-hand", kwargs={"key": ours.draft.key})
    data = {"substance": "108-88-3", "value": "50000", "unit": "ppm", "basis": "TWA", "source": "data sheet"}
    text = validator.post(place, data).content.decode()
    assert "Is this value right?" in text and "250 times" in text
    ours.draft.refresh_from_db()
    assert not ours.draft.inputs["room"].get("limit")
    assert validator.post(place, data | {"confirmed": "on"}).status_code == 302
    ours.draft.refresh_from_db()
    assert ours.draft.inputs["room"]["limit"] == [
        {
            "cas": "108-88-3",
            "value": 50000.0,
            "unit": "ppm",
            "basis": "TWA",
            "source": "data sheet",
            "confirmed": True,
        }
    ]
    validator.post(place, {"remove": "0"})
    ours.draft.refresh_from_db()
    assert ours.draft.inputs["room"]["limit"] == []


CABINET = b"""
[cabinet]
name = "Invented"
width_m = 1
depth_m = 0.5
height_m = 2
air_volume_m3 = 0.5
flow_m3_h = 150
[[compartment]]
key = "A"
[[compartment.shelf]]
key = "1"
height_m = 0.1
width_m = 0.9
depth_m = 0.45
clear_height_m = 0.5
max_load_kg = 60
[filters]
[[filters.bed]]
medium = "coconut"
mass_kg = 5
area_m2 = 0.3
"""


def test_a_cabinet_from_a_file(ours, validator):
    place = reverse("cabinet", kwargs={"key": ours.draft.key})

    def send_cabinet(content):
        return validator.post(place, {"choice": "file", "file": SimpleUploadedFile("c.toml", content)})

    assert send_cabinet(CABINET).status_code == 302
    ours.draft.refresh_from_db()
    assert ours.draft.inputs["cabinet"]["cabinet"]["name"] == "Invented"
    for wrong, words in (
        (b"not toml", "is not TOML"),
        (CABINET.replace(b"flow_m3_h = 150", b""), "flow_m3_h"),
        (CABINET.replace(b"coconut", b"../../../etc/passwd"), "no such shipped medium"),
    ):
        text = send_cabinet(wrong).content.decode()
        assert "There is a problem" in text and words in text
    assert "Choose the cabinet&#x27;s TOML file" in validator.post(place, {"choice": "file"}).content.decode()
