"""The retention listing: balances, order, and what practitioners see of layers."""

from __future__ import annotations

import csv
import io
import json

import numpy as np
import pytest

from stillroom import media
from stillroom.assessment.listing import Conditions, listing
from stillroom.cli.commands.capacity import command
from stillroom.services.capacity import as_csv, as_pdf, capacity

TOLUENE, ACETONE, BENZENE, FORMALDEHYDE = "108-88-3", "67-64-1", "71-43-2", "50-00-0"
SOLVENTS = (
    TOLUENE, ACETONE, BENZENE, "110-54-3", "142-82-5", "64-17-5", "67-63-0", "71-36-3", "78-93-3", "108-10-1", "141-78-6",
    "123-86-4", "109-99-9", "60-29-7", "75-09-2", "67-66-3", "110-82-7", "1330-20-7", "100-41-4", "108-90-7", "110-86-1", "75-05-8",
)  # fmt: skip


@pytest.fixture(scope="module")
def generic():
    return media.load("generic")


@pytest.fixture(scope="module")
def layers(generic):
    """One, two and three layers of the same medium on the usual solvents."""
    return {count: {row.cas: row for row in listing(generic, layers=count, cas=SOLVENTS)} for count in (1, 2, 3)}  # fmt: skip


def test_more_than_two_hundred_substances_and_nothing_refused(generic):
    rows = listing(generic, layers=2, draws=20)
    assert len(rows) >= 200
    found = {row.cas for row in rows}
    assert {TOLUENE, ACETONE, BENZENE} <= found
    assert (
        "7647-01-0" not in found and "7439-97-6" not in found
    )  # plain carbon takes no acid gas and no mercury
    assert all(row.first[0] <= row.first[1] <= row.first[2] for row in rows)
    assert [row.name.casefold() for row in rows] == sorted(row.name.casefold() for row in rows)


def test_the_first_of_two_layers_holds_more_than_alone(layers):
    """Common practice, no source: a layer behind lets the first fill up; at least nine in ten of at least twenty."""
    more = [layers[2][cas].first[1] > layers[1][cas].first[1] for cas in layers[1]]
    assert len(more) >= 20
    assert np.mean(more) >= 0.9
    for cas, row in layers[2].items():
        assert row.second is not None and row.second[1] < row.first[1]
        assert layers[3][cas].first[1] >= row.first[1] * 0.999
        assert layers[3][cas].hours[1] > row.hours[1] > layers[1][cas].hours[1]


def test_what_is_held_is_what_was_fed_less_a_little(layers):
    """100 ppm of toluene in 160 m³/h are 61 g an hour (M 92.14, 22 °C, 1 atm: 380 mg/m³)."""
    row = layers[2][TOLUENE]
    assert row.second is not None
    fed = 160.0 * 0.3805 * row.hours[1]
    assert row.first[1] + row.second[1] == pytest.approx(fed, rel=0.05)


def test_toluene_takes_a_fifth_to_a_third_of_the_carbon_at_a_thousand_ppm(generic):
    """From memory: 0.2 to 0.4 g/g at 1000 ppm where a bed is filled to the end."""
    full = Conditions(ppm=1000.0, relative_humidity=0.0, end=0.5, mass=8.0)
    (row,) = listing(generic, layers=2, conditions=full, cas=[TOLUENE])
    assert 0.2 < row.first[1] / 8000.0 < 0.4


def test_humid_air_and_a_later_end(generic):
    dry, humid, late = (
        listing(generic, conditions=conditions, cas=[BENZENE])[0].first[1]
        for conditions in (Conditions(relative_humidity=0.2), Conditions(relative_humidity=0.85), Conditions(relative_humidity=0.2, end=0.1))
    )  # fmt: skip
    assert humid < dry < late


def test_the_end_is_one_per_cent_of_the_limit(generic):
    """UK EH40/2005, 4th edition (2020): toluene 50 ppm."""
    (row,) = listing(generic, conditions=Conditions(lists=("uk-eh40",)), cas=[TOLUENE])
    assert row.end_ppm == pytest.approx(0.5) and row.end_basis == "1 % of 50 ppm (uk-eh40)"
    (row,) = listing(generic, conditions=Conditions(lists=("uk-lead",)), cas=[TOLUENE])
    assert row.end_ppm == pytest.approx(1.0) and row.end_basis == "no limit: 1 % of the inlet"


def test_an_impregnation_is_listed_by_its_published_capacity():
    assert listing(media.load("generic"), cas=[FORMALDEHYDE]) == ()
    at = Conditions(ppm=10.0, end=0.1)
    (row,) = listing(media.load("impregnated-formaldehyde"), layers=2, conditions=at, cas=[FORMALDEHYDE])
    assert row.origin == "published capacity" and row.remark
    assert row.first[1] > 0.0


def test_same_seed_same_listing(generic):
    one, again, other = (listing(generic, cas=[TOLUENE], seed=seed) for seed in (1, 1, 2))
    assert one == again != other


def test_as_json_csv_and_pdf(generic):
    found = capacity(generic, layers=2, cas=[TOLUENE, ACETONE])
    assert {"medium", "layers", "conditions", "substances"} <= set(found)
    assert {"cas", "name", "first_layer_g", "second_layer_g", "p05", "p95", "origin"} <= set(
        found["substances"][0]
    )
    rows = list(csv.DictReader(io.StringIO(as_csv(found))))
    assert [row["cas"] for row in rows] == [ACETONE, TOLUENE]
    assert float(rows[1]["first_layer_g"]) == found["substances"][1]["first_layer_g"]
    paper = as_pdf(found, date="2026-11-28")
    import pypdfium2

    text = pypdfium2.PdfDocument(paper)[0].get_textpage().get_text_range()
    for words in ("toluene", TOLUENE, "no service life", "160 m³/h", "Local codes"):
        assert words in text
    assert paper == as_pdf(found, date="2026-11-28")


def test_one_layer_has_no_second(generic):
    (row,) = capacity(generic, cas=[TOLUENE])["substances"]
    assert row["second_layer_g"] is None


def test_the_command(tmp_path, capsys):
    for name in ("a.csv", "a.pdf", "a.json"):
        command(
            ["generic", "--layers", "2", "--substance", TOLUENE, "--out", str(tmp_path / name), "--json"],
            standalone_mode=False,
        )
        out, _ = capsys.readouterr()
        assert json.loads(out)["substances"][0]["cas"] == TOLUENE
    assert json.loads((tmp_path / "a.json").read_text()) == json.loads(out)
    assert (tmp_path / "a.pdf").read_bytes().startswith(b"%PDF")
    command(["generic", "--substance", TOLUENE, "--substance", "7647-01-0"], standalone_mode=False)
    out, err = capsys.readouterr()
    assert "No service life" in out and "7647-01-0: not listed" in err


@pytest.mark.parametrize(
    ("arguments", "says"),
    [(("generic", "--substance", "108-88-4"), "no CAS number"), (("nonesuch",), "no such medium"),
     (("generic", "--substance", TOLUENE, "--out", "a.doc"), "ending is not known"), (("generic", "--limits", "nonesuch"), "no such list")],
)  # fmt: skip
def test_wrong_arguments_say_what_to_do(arguments, says, tmp_path, monkeypatch):
    from stillroom.errors import InputError

    monkeypatch.chdir(tmp_path)
    with pytest.raises(InputError, match=says):
        command(list(arguments), standalone_mode=False)
