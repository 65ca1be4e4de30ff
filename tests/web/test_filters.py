"""Flow and filters: a medium of one's own by file, the seals' by-pass with its source, and what may not come in.

A page takes what the CABINET and MEDIUM files take and refuses what they refuse (docs/reference/cabinet.md, media.md).
"""

from __future__ import annotations

import copy

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from stillroom.records.models import Assessment, CabinetDefinition
from stillroom.records.store import conclude, copy_of, update_draft
from stillroom.web.filters.own import key_of
from stillroom.web.shared.core import cabinet_of
from web.stubs import fake_assess

BACKEND = "django.contrib.auth.backends.ModelBackend"
MEDIUM = """
name = "{name}"
title = "{title}"
version = "3"
micropore_volume_cm3_g = {{p05 = 0.40, p50 = 0.45, p95 = 0.50}}
characteristic_energy_kJ_mol = {{p05 = 18.0, p50 = 20.0, p95 = 22.0}}
bulk_density_kg_m3 = {{p05 = 450, p50 = 480, p95 = 510}}
grain_diameter_mm = {{p05 = 1.2, p50 = 1.5, p95 = 2.0}}
"""


def medium(name="ours", title="Our carbon (invented)", more="") -> bytes:
    return (more + MEDIUM.format(name=name, title=title)).encode()


def place(case):
    return reverse("filters", kwargs={"key": case.key})


def answers(**changed):
    return {
        "name": "Cabinet 3", "flow": "160", "particulate": "H14", "age": "365", "detector": "",
        "medium_1": "coconut", "mass_1": "8", "area_1": "0.3", "seal": "usual",
    } | changed  # fmt: skip


def add(client, case, content, name="ours.toml", **changed):
    file = SimpleUploadedFile(name, content)
    return client.post(place(case), answers(**changed) | {"medium_file": file, "add": "1"})


def stored(case):
    case.refresh_from_db()
    return case.inputs["cabinet"]


def test_a_medium_comes_in_by_file_and_fills_a_bed(ours, validator):
    text = add(validator, ours.draft, medium(), flow="171").content.decode()
    assert "“Our carbon (invented)” was taken" in text
    assert 'value="171"' in text, "what was typed stays"
    key = key_of(stored(ours.draft)["medium"][0])
    assert validator.post(place(ours.draft), answers(medium_1=key)).status_code == 302
    bed = cabinet_of(stored(ours.draft)).filters.beds[0]
    # as written in the file, mm to m
    assert (bed.medium.title, bed.medium.micropore_volume.p50) == ("Our carbon (invented)", 0.45)
    assert bed.medium.grain_diameter.p95 == pytest.approx(2.0e-3, rel=1e-12)
    assert f'<option value="{key}" selected>' in validator.get(place(ours.draft)).content.decode()
    text = validator.get(reverse("check", kwargs={"key": ours.draft.key})).content.decode()
    assert "Our carbon (invented), 8 kg, 0.3 m²" in text


def test_continue_with_a_file_chosen_never_loses_it(ours, validator):
    response = validator.post(
        place(ours.draft), answers() | {"medium_file": SimpleUploadedFile("m.toml", medium())}
    )
    assert "was taken" in response.content.decode()


def test_a_medium_that_no_bed_uses_is_not_kept(ours, validator):
    add(validator, ours.draft, medium())
    validator.post(place(ours.draft), answers())
    assert "medium" not in stored(ours.draft)


def test_a_mended_file_takes_the_place_of_the_first(ours, validator):
    add(validator, ours.draft, medium(title="First"))
    add(validator, ours.draft, medium(title="Mended"))
    assert [table["title"] for table in stored(ours.draft)["medium"]] == ["Mended"]


def test_two_media_of_one_name_are_not_mixed_in_one_cabinet(ours, validator):
    """Beds name their medium; a record could not say which of the two it was."""
    add(validator, ours.draft, medium(title="Old batch"))
    old = key_of(stored(ours.draft)["medium"][0])
    validator.post(place(ours.draft), answers(medium_1=old))
    stored(ours.draft)
    conclude(ours.draft, ours.people["validator"], record=fake_assess(ours.draft))
    case = copy_of(ours.draft, ours.people["validator"])
    add(validator, case, medium(title="New batch"))
    new = key_of(stored(case)["medium"][0])
    both = answers(medium_1=old, medium_2=new, mass_2="4", area_2="0.3")
    text = validator.post(place(case), both).content.decode()
    assert "is the name of another medium" in text


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "micropore_volume_cm3_g"),
        (b"\xff\xfe", "UTF-8"),
        (b"name = ", "is not TOML"),
        (b"x" * 100_001, "100 kB"),
        (medium(name="coconut"), "name of a shipped medium"),
        (medium(more='colour = "black"\n'), "colour"),
        (medium().replace(b"450", b"0.45"), "is the unit the one in the key"),
        (medium().replace(b"p50 = 0.45", b"p50 = 0.35"), "must not fall"),
        (medium().replace(b"0.50", b"nan"), "micropore_volume_cm3_g"),
        (b"[[medium]]\n", "micropore_volume_cm3_g"),
    ],
)  # fmt: skip
def test_what_is_no_medium_is_refused_beside_its_field(content, words, ours, validator):
    before = stored(ours.draft)
    text = add(validator, ours.draft, content).content.decode()
    assert words in text and "<title>Error: " in text
    assert 'href="#id_medium_file"' in text
    assert stored(ours.draft) == before


def test_add_without_a_file_says_so(ours, validator):
    text = validator.post(place(ours.draft), answers() | {"add": "1"}).content.decode()
    assert "Choose the medium&#x27;s TOML file" in text


def test_what_stands_in_a_medium_stays_text(ours, validator):
    text = add(validator, ours.draft, medium(title="<script>alert(1)</script>{{7*7}}")).content.decode()
    assert "<script>" not in text and "&lt;script&gt;alert(1)&lt;/script&gt;{{7*7}}" in text


@pytest.mark.parametrize("name", ["../../etc/passwd", "/etc/passwd", "moon dust"])
def test_a_bed_never_names_a_file_of_the_server(name, ours, validator):
    text = validator.post(place(ours.draft), answers(medium_1=name)).content.decode()
    assert "Choose one of the media" in text
    add(validator, ours.draft, medium(name=name))
    key = key_of(stored(ours.draft)["medium"][0])
    assert validator.post(place(ours.draft), answers(medium_1=key)).status_code == 302
    assert cabinet_of(stored(ours.draft)).filters.beds[0].medium.title == "Our carbon (invented)"


def test_an_own_medium_stays_in_its_organisation(ours, theirs, client):
    """OWASP ASVS 5.0, 8.2.2: another organisation's medium is neither listed nor reached by its key."""
    client.force_login(theirs.people["validator"], backend=BACKEND)
    add(client, theirs.draft, medium(title="Their secret carbon"))
    key = key_of(stored(theirs.draft)["medium"][0])
    assert client.post(place(theirs.draft), answers(medium_1=key)).status_code == 302
    stored(theirs.draft)
    conclude(theirs.draft, theirs.people["validator"], record=fake_assess(theirs.draft))
    assert CabinetDefinition.objects.filter(
        organisation=theirs.organisation, tables__medium__0__name="ours"
    ).exists()
    case = copy_of(theirs.done, theirs.people["validator"])
    assert key in client.get(place(case)).content.decode(), "offered again to those it belongs to"

    client.force_login(ours.people["validator"], backend=BACKEND)
    text = client.get(place(ours.draft)).content.decode()
    assert "secret" not in text and key not in text
    assert "Choose one of the media" in client.post(place(ours.draft), answers(medium_1=key)).content.decode()
    for name in ("filters", "cabinet", "check"):
        assert "secret" not in client.get(reverse(name, kwargs={"key": ours.draft.key})).content.decode()
    assert add(client, theirs.copy, medium()).status_code == 404


def test_a_reader_adds_no_medium(ours, client):
    client.force_login(ours.people["reader"], backend=BACKEND)
    assert add(client, ours.draft, medium()).status_code == 403
    assert "medium" not in stored(ours.draft)


def test_a_finished_assessment_takes_no_medium(ours, validator):
    before = copy.deepcopy(stored(ours.done))
    assert add(validator, ours.done, medium()).status_code == 302
    assert stored(ours.done) == before


def test_the_by_pass_is_stated_with_its_source(ours, validator):
    own = {"seal": "own", "seal_low": "0,01", "seal_middle": "0.02 %", "seal_high": "0.1",
           "seal_source": "leak test of 3 May 2026"}  # fmt: skip
    assert validator.post(place(ours.draft), answers(**own)).status_code == 302
    filters = stored(ours.draft)["filters"]
    assert filters["seal_bypass"] == pytest.approx([0.0001, 0.0002, 0.001], rel=1e-12)  # per cent to fraction
    assert filters["seal_bypass_source"] == "leak test of 3 May 2026"
    text = validator.get(place(ours.draft)).content.decode()
    assert 'value="0.01"' in text and 'value="leak test of 3 May 2026"' in text
    shown = validator.get(reverse("check", kwargs={"key": ours.draft.key})).content.decode()
    assert "0.020 % (0.010 % to 0.10 %), from: leak test of 3 May 2026" in shown
    validator.post(place(ours.draft), answers())
    assert "seal_bypass" not in stored(ours.draft)["filters"]


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"seal_source": ""}, "Enter where the by-pass comes from"),
        ({"seal_middle": ""}, "Enter the middle of the by-pass"),
        ({"seal_low": "0.5"}, "must not fall in this order"),
        ({"seal_low": "0"}, "must be between"),
        ({"seal_high": "100"}, "must be between"),
        ({"seal_low": "nan"}, "must be a number"),
        ({"seal": ""}, "Choose what is known of the seals"),
    ],
)
def test_a_by_pass_that_cannot_be(changed, words, ours, validator):
    before = stored(ours.draft)
    own = {
        "seal": "own",
        "seal_low": "0.01",
        "seal_middle": "0.02",
        "seal_high": "0.1",
        "seal_source": "test",
    }
    text = validator.post(place(ours.draft), answers(**(own | changed))).content.decode()
    assert words in text and stored(ours.draft) == before


def test_the_particulate_class_is_judged_beside_its_field(ours, validator):
    text = validator.post(place(ours.draft), answers(particulate="H99")).content.decode()
    assert 'href="#id_particulate"' in text


def test_a_cabinet_file_may_bring_its_own_medium(ours, validator):
    from stillroom.cabinet.load import shipped_tables

    tables = shipped_tables("under-bench")
    update_draft(ours.draft, ours.people["validator"], cabinet=tables)
    lines = ["[cabinet]", *(f"{key} = {value!r}" for key, value in tables["cabinet"].items()), "[[compartment]]",
             'key = "A"', "[[compartment.shelf]]", 'key = "1"', "height_m = 0.1", "width_m = 0.5", "depth_m = 0.4",
             "clear_height_m = 0.4", "max_load_kg = 20", "[filters]", "[[filters.bed]]", 'medium = "ours"',
             "mass_kg = 5", "area_m2 = 0.3", "[[medium]]"]  # fmt: skip
    content = "\n".join(lines).replace("'", '"').encode() + medium()
    file = SimpleUploadedFile("cabinet.toml", content)
    response = validator.post(
        reverse("cabinet", kwargs={"key": ours.draft.key}), {"choice": "file", "file": file}
    )
    assert response.status_code == 302, response.content.decode()
    assert Assessment.objects.get(pk=ours.draft.pk).inputs["cabinet"]["medium"][0]["name"] == "ours"


@pytest.mark.parametrize(
    ("written", "pascal"),
    [("950", 95_000.0), ("1.013,25", 101_325.0), ("", None), ("1013.25 hPa", 101_325.0)],
)
def test_the_rooms_pressure(written, pascal, ours, validator):
    room = {"name": "1.14", "volume": "62", "changes": "6", "temperature": "22", "humidity": "50",
            "background": "unknown", "pressure": written}  # fmt: skip
    response = validator.post(reverse("room", kwargs={"key": ours.draft.key}), room)
    assert response.status_code == 302, response.content.decode()
    ours.draft.refresh_from_db()
    assert ours.draft.inputs["room"]["room"].get("pressure_Pa") == pascal


@pytest.mark.parametrize("written", ["95000", "499", "1101", "much", "1,013"])
def test_a_pressure_that_cannot_be(written, ours, validator):
    """50 000 to 110 000 Pa, as in the ROOM file; “1,013” may be 1.013 or 1013."""
    room = {"name": "1.14", "volume": "62", "changes": "6", "temperature": "22", "humidity": "50",
            "background": "unknown", "pressure": written}  # fmt: skip
    text = validator.post(reverse("room", kwargs={"key": ours.draft.key}), room).content.decode()
    assert 'href="#id_pressure"' in text


@pytest.mark.parametrize(("minutes", "kept"), [("5", 5.0), ("15", 15.0), ("", None), ("16", "longer")])
def test_somebody_acts_before_the_spill_is_cleaned_up(minutes, kept, ours, validator):
    """As the ROOM file has it (docs/reference/room.md): never longer than cleanup_minutes."""
    rules = {"cleanup_minutes": "15", "response_minutes": minutes, "fan_stop_hours": "8", "required_interval_days": "365",
             "criterion_fraction": "1", "spill_criterion_too": "no", "excursion_factor": "3", "lfl_fraction": "25",
             "visit_fraction_of_life": "50", "visit_longest_days": "182", "saturation_fraction": "50"}  # fmt: skip
    response = validator.post(reverse("rules", kwargs={"key": ours.draft.key}), rules)
    if kept == "longer":
        assert "must not be longer" in response.content.decode()
        return
    assert response.status_code == 302, response.content.decode()
    ours.draft.refresh_from_db()
    assert ours.draft.inputs["room"]["rules"].get("response_minutes") == kept
