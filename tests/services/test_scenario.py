"""A scenario is looked at whole before it is played; what it writes is what the services write, at its own times."""

from __future__ import annotations

import datetime
from pathlib import Path

import pytest

pytestmark = pytest.mark.django_db

HEAD = (
    'draws = 100\norganisation = "Works (invented)"\nreason = "invented for a test"\n'
    '[[person]]\nusername = "a"\nfull_name = "A Invented"\nrole = "owner"\n'
)
CABINET = (
    '[[event]]\nday = -30\nat = "09:00"\ndo = "cabinet"\nkey = "c"\nname = "C"\nserial = "1"\nsite = "S"\nroom = "R"\n'
    'place = ""\nby = "a"\n'
)


def written(folder: Path, text: str) -> Path:
    file = folder / "scenario.toml"
    file.write_text(text, "utf-8")
    return file


def test_rows_and_trail_have_the_scenario_s_time_and_the_clock_is_set_back(tmp_path: Path) -> None:
    from django.utils import timezone

    from stillroom.records.models import Cabinet, Event
    from stillroom.services.scenario import play, read_scenario

    usual = timezone.now
    today = datetime.date(2024, 3, 31)
    told = []
    played = play(read_scenario(written(tmp_path, HEAD + CABINET)), today=today, tell=told.append)
    assert timezone.now is usual
    at = datetime.datetime(2024, 3, 1, 9, tzinfo=datetime.UTC)
    assert Cabinet.objects.get().created_at == at == told[0].at
    assert {event.at[:16] for event in Event.objects.all()} == {"2024-03-01T09:00"}
    assert list(played.story) == told and len(played.passwords["a"]) >= 16


def test_it_is_played_into_an_empty_database_only(tmp_path: Path) -> None:
    from stillroom.records.models import Cabinet
    from stillroom.records.store import AlreadyInstalled, first_user
    from stillroom.services.scenario import play, read_scenario

    first_user(username="own", full_name="Own", password_hash="x", organisation="Own")
    with pytest.raises(AlreadyInstalled):
        play(read_scenario(written(tmp_path, HEAD + CABINET)), today=datetime.date(2024, 3, 31))
    assert not Cabinet.objects.exists()


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (CABINET.replace('"cabinet"', '"cupboard"'), "no step"),
        (CABINET.replace("serial", "number"), "cannot be played"),
        (CABINET.replace("-30", "0"), "below zero"),
        (CABINET + CABINET.replace("-30", "-31"), "before the one above"),
        (CABINET.replace("09:00", "noon"), "cannot be played"),
    ],
)
def test_a_fault_names_its_event(tmp_path: Path, text: str, words: str) -> None:
    from stillroom.errors import InputError
    from stillroom.services.scenario import read_scenario

    with pytest.raises(InputError, match=words) as refused:
        read_scenario(written(tmp_path, HEAD + text))
    assert refused.value.problems[0].row == 1 + text[:-1].count("[[event]]\n", 1)


def test_the_same_question_is_computed_once_and_another_list_anew(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    from services.kept import load
    from stillroom import inventory
    from stillroom.cabinet.load import load_cabinet
    from stillroom.room.load import parse_room
    from stillroom.services.computed import computed

    monkeypatch.setenv("STILLROOM_LIMITS", str(tmp_path))
    bottles = inventory.read_bytes(b"name,cas,amount,unit,count\nToluene,108-88-3,500,mL,1\n", "b.csv")
    cabinet = load_cabinet("full-height")
    load(50)
    room = parse_room(
        {"room": {"name": "R", "volume_m3": 62.0, "air_changes_per_h": 6.0}, "limits": {"lists": ["works"], "ordering": "first"}}
    )  # fmt: skip
    one = computed(bottles, cabinet, room, seed=1, draws=100)
    assert computed(bottles, cabinet, room, seed=1, draws=100) is one
    assert computed(bottles, cabinet, room, seed=2, draws=100) is not one
    load(0.5, "2")
    again = computed(bottles, cabinet, room, seed=1, draws=100)
    assert [item.subject.criterion.value for item in (*one.subjects, *again.subjects)] == [50, 0.5]
