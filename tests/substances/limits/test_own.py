"""The user's own lists: what a file may say, where a fault is, and that a newer edition holds at once."""

from __future__ import annotations

import datetime
import hashlib
import os
from pathlib import Path

import pytest

from assessment.invented import bottle, cabinet, inventory, room
from stillroom.assessment.case import gather
from stillroom.errors import InputError
from stillroom.services.assess import assess
from stillroom.services.load_limits import load_limits
from stillroom.substances import limits
from stillroom.substances.limits import own
from stillroom.substances.limits.own_file import parse
from stillroom.substances.model import Ordering

HEAD = '# key = "works"\n# title = "Works (invented)"\n# edition = "1"\n# source = "agreement, annex 3 (invented)"\n'
TABLE = "cas,name,basis,value,unit,notations,locator\n"
TOLUENE = "108-88-3,Toluene,TWA,20,ppm,skin,page 4\n"


@pytest.fixture
def folder(tmp_path, monkeypatch) -> Path:
    monkeypatch.setenv("STILLROOM_LIMITS", str(tmp_path / "lists"))
    return tmp_path / "lists"


def load(text: str, **more):
    return load_limits(text.encode(), file="works.csv", **more)


def test_it_is_chosen_like_any_other(folder):
    load(HEAD + TABLE + TOLUENE)
    choice = limits.choose("108-88-3", lists=["uk-eh40", "works"])
    assert (choice.criterion.value, choice.criterion.list, choice.criterion.locator) == (
        20.0,
        "works",
        "page 4",
    )
    assert choice.criterion.notations == ("skin",)
    first = limits.choose("108-88-3", lists=["uk-eh40", "works"], ordering=Ordering.FIRST)
    assert first.criterion.list == "uk-eh40"
    assert [item.key for item in limits.lists()][-1] == "works"


def test_an_unnamed_choice_stays_with_what_is_shipped(folder):
    """docs/reference/room.md: no lists named are all *shipped* lists, so that a file elsewhere changes no answer."""
    before = gather(inventory(bottle(1, "108-88-3", 1e-3)), cabinet(), room()).list_keys
    load(HEAD + TABLE + TOLUENE)
    assert gather(inventory(bottle(1, "108-88-3", 1e-3)), cabinet(), room()).list_keys == before
    assert "works" not in before


def test_a_newer_edition_holds_at_once_and_the_older_is_kept(folder):
    old, new = HEAD + TABLE + TOLUENE, HEAD.replace('"1"', '"2"') + TABLE + TOLUENE.replace("20", "2")
    load(old)
    before = limits.versions()["works"]
    loaded = load(new)
    assert loaded.replaced == "1"
    assert limits.of("108-88-3", "works")[0].value == 2.0
    assert limits.versions()["works"] != before
    sha = hashlib.sha256(new.encode()).hexdigest()
    assert limits.versions()["works"] == f"2, sha256 {sha[:12]}"
    (kept,) = (folder / "earlier").iterdir()
    assert kept.read_text() == old


def test_a_value_edited_in_place_shows_in_the_version_though_edition_size_and_time_are_the_same(folder):
    load(HEAD + TABLE + TOLUENE)
    before, file = limits.versions()["works"], folder / "works.csv"
    at = file.stat()
    text = file.read_text().replace(",20,", ",90,")
    other = folder / "other"
    other.write_text(text)
    os.utime(other, ns=(at.st_atime_ns, at.st_mtime_ns))
    other.replace(file)
    assert file.stat().st_size == at.st_size
    assert limits.versions()["works"] != before


def test_the_same_file_twice_changes_nothing(folder):
    load(HEAD + TABLE + TOLUENE)
    assert load(HEAD + TABLE + TOLUENE).unchanged
    assert not (folder / "earlier").exists()


def test_head_quoted_by_a_spreadsheet_semicolons_decimal_comma_and_windows_1252(folder):
    rows = [
        '"# key = ""works""";;;;', '"# title = ""Grenzwerte; Größe (erfunden)""";;;;', '"# edition = ""1""";;;;',
        '"# source = ""Anhang 3""";;;;', "## a remark;;;;", "CAS;Name;Basis;Value;Unit",
        "108-88-3;Toluol;twa;0,5;ppm", "67‑64‑1;Aceton;C;1.500,5;mg/m³",
    ]  # fmt: skip
    content = "\r\n".join(rows).replace("‑", "-").encode("cp1252")
    found, lines = parse(content, file="g.csv")
    assert found.title == "Grenzwerte; Größe (erfunden)"
    assert [(row.number, row.entry["cas"], row.basis, row.value, row.unit) for row in lines] == [
        (7, "108-88-3", "TWA", 0.5, "ppm"), (8, "67-64-1", "C", 1500.5, "mg/m3"),
    ]  # fmt: skip


def test_micrograms_and_lead_counted_as_lead(folder):
    load(HEAD + "cas,basis,value,unit,measured_as\n1317-36-8,TWA,50,µg/m³,Pb\n")
    (limit,) = limits.of("1317-36-8", "works")
    assert (limit.value, limit.unit, limit.measured_as) == (0.05, "mg/m3", "Pb")
    # lead monoxide, PbO: 207.2 / 223.2 of it is lead (IUPAC 2021), so the whole may be that much more
    assert limits.own_mass_concentration(limit, molar_mass_g_mol=None) == pytest.approx(
        0.05 * 223.2 / 207.2, rel=1e-3
    )


FAULTS = {
    "check digit": ("108-88-4,x,TWA,1,ppm,,", "cas", 6),
    "basis": ("108-88-3,x,MAC,1,ppm,,", "basis", 6),
    "no value": ("108-88-3,x,TWA,,ppm,,", "value", 6),
    "zero": ("108-88-3,x,TWA,0,ppm,,", "value", 6),
    "infinite": ("108-88-3,x,TWA,inf,ppm,,", "value", 6),
    "thousand or decimal": ('108-88-3,x,TWA,"1,234",ppm,,', "value", 6),
    "unit": ("108-88-3,x,TWA,1,ppb,,", "unit", 6),
    "notation": ("108-88-3,x,TWA,1,ppm,Sk!,", "notations", 6),
    "twice": (f"{TOLUENE}108-88-3,x,TWA,1,ppm,,", "basis", 7),
    "too many cells": ("108-88-3,x,TWA,1,5,ppm,,,more", "", 6),
}  # fmt: skip


@pytest.mark.parametrize("row, column, number", FAULTS.values(), ids=FAULTS)
def test_a_fault_names_row_column_and_mend(row, column, number, folder):
    with pytest.raises(InputError) as caught:
        load(HEAD + TABLE + row)
    (problem,) = caught.value.problems
    assert (problem.row, problem.column, problem.file) == (number, column, "works.csv")
    assert problem.mend
    assert not folder.exists()


@pytest.mark.parametrize(
    "head, column",
    [
        (HEAD.replace("# source", "## source"), "source"),
        (HEAD.replace('"works"', '"uk-eh40"'), "key"),
        (HEAD.replace('"works"', '"../works"'), "key"),
        (HEAD.replace('"works"', '"by-hand"'), "key"),
        (HEAD + "# colour = 1\n", "colour"),
        (HEAD + "# twa_minutes = 0\n", "twa_minutes"),
        (HEAD.replace('"1"', "1"), "edition"),
    ],
)
def test_a_wrong_head_is_named(head, column, folder):
    with pytest.raises(InputError) as caught:
        load(head + TABLE + TOLUENE)
    assert column in [problem.column for problem in caught.value.problems]
    assert not folder.exists()


def test_what_looks_like_a_slip_is_asked_and_kept_once_confirmed(folder):
    """EH40 has 50 ppm for toluene: 20 000 is a factor of 400; a short-term limit below the 8-hour one; another's name."""
    text = (
        HEAD
        + TABLE
        + "108-88-3,Toluene,TWA,20000,ppm,,\n67-64-1,Acetone,TWA,500,ppm,,\n67-64-1,Toluene,STEL,400,ppm,,\n"
    )
    with pytest.raises(limits.NeedsConfirmation) as caught:
        load(text)
    assert [problem.row for problem in caught.value.problems] == [6, 8, 8]
    assert not folder.exists()
    assert len(load(text, confirmed=True).confirmed) == 3
    assert limits.of("108-88-3", "works")[0].value == 20000.0


def test_a_file_spoiled_on_the_disk_is_no_list_and_says_why(folder):
    load(HEAD + TABLE + TOLUENE)
    (folder / "works.csv").write_text(HEAD + TABLE + TOLUENE.replace("20", "-20"))
    assert "works" not in [item.key for item in limits.lists()]
    (fault,) = limits.broken()
    assert "row 6" in str(fault)
    place = room(limits={"lists": ["works"], "ordering": "strictest"})
    with pytest.raises(InputError, match="row 6"):
        assess(inventory(bottle(1, "108-88-3", 1e-3)), cabinet(), place, date=datetime.date(2026, 11, 4))


def test_the_data_directory_is_where_they_lie_unless_said(monkeypatch, tmp_path):
    monkeypatch.delenv("STILLROOM_LIMITS")
    monkeypatch.setenv("STILLROOM_DATA", str(tmp_path))
    assert own.folder() == tmp_path / "limits"
