"""Four programs write at once, each reading before it writes: nobody is refused, nothing is lost, the chain is one."""

from __future__ import annotations

WRITERS, WRITES = 4, 300
WORK = f"""
for _ in range({WRITES}):
    with trail.writing(organisation, user, reason="one more"):
        cabinet = models.Cabinet.objects.get()
        cabinet.place = str(int(cabinet.place) + 1)
        cabinet.save()
"""
TOLD = """
events = models.Event.objects.filter(log=organisation.key).order_by("seq")
print(models.Cabinet.objects.get().place, events.filter(action="cabinet.changed").count())
assert [event.seq for event in events] == list(range(1, len(events) + 1))
"""


def test_no_write_is_refused_and_none_is_lost(place):
    children = [place.start(WORK) for _ in range(WRITERS)]
    errors = [child.communicate(timeout=300)[1] for child in children]
    assert [error for error in errors if error] == []
    assert place.look(TOLD).split() == [str(WRITERS * WRITES)] * 2


NUMBERS = """
for _ in range(25):
    store.new_draft(organisation, user, title="t", inputs={})
"""


def test_numbers_are_given_once(place):
    children = [place.start(NUMBERS) for _ in range(WRITERS)]
    errors = [child.communicate(timeout=300)[1] for child in children]
    assert [error for error in errors if error] == []
    found = place.look("print(*sorted(models.Assessment.objects.values_list('number', flat=True)))")
    assert [int(number) for number in found.split()] == list(range(1, 101))


def test_two_installations_of_the_key_at_once_are_one(place):
    (place.data / "trail-key").unlink()
    code = "from stillroom.records import keys; print(keys.own_key().id)"
    children = [place.start(code) for _ in range(WRITERS)]
    assert len({child.communicate(timeout=60)[0] for child in children}) == 1
