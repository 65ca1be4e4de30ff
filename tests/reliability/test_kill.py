"""Killed without warning while writing: what was acknowledged is there, nothing is half there, the chain is whole.

A killed process is not a loss of power: what the system has taken is still written.
"""

from __future__ import annotations

import random

TIMES = 100
WORK = """
import itertools
for number in itertools.count(models.Cabinet.objects.count()):
    own = {"organisation": organisation, "created_by": user}
    print("begun", flush=True)
    with trail.writing(organisation, user, reason="a pair"):
        cabinet = models.Cabinet.objects.create(name=f"C{number}", **own)
        models.FilterChange.objects.create(cabinet=cabinet, on="2026-11-04", by="A", reason="new", **own)
    print("kept", cabinet.key, flush=True)
"""
TOLD = """
print(*models.Cabinet.objects.exclude(place="0").values_list("key", flat=True))
assert models.Cabinet.objects.exclude(place="0").filter(filter_changes=None).count() == 0, "half written"
"""


def test_killed_while_writing(place):
    chance = random.Random(20261104)
    kills = [(chance.choice((1, 3, 5)), chance.uniform(0, 0.06)) for _ in range(TIMES)]
    lives = place.lives(WORK, kills)
    assert next(lives) == []
    acknowledged, unanswered = [], 0
    for said in lives:
        acknowledged += [line.split()[1] for line in said if line != "begun"]
        unanswered += said[-1] == "begun"
    assert unanswered >= TIMES / 2, "most kills fell between a write's beginning and its acknowledgement"
    assert len(acknowledged) >= TIMES / 2
    there = place.look(TOLD).split()
    print(
        f"writing: {TIMES} kills, {unanswered} within a write; {len(acknowledged)} acknowledged, {len(there)} there"
    )
    assert set(acknowledged) <= set(there), "what was acknowledged is there"
    assert len(there) - len(acknowledged) <= unanswered, (
        "only what was cut off came without its acknowledgement"
    )
