"""Killed without warning while writing: what was acknowledged is there, nothing is half there, the chain is whole.

A killed process is not a loss of power: what the system has taken is still written.
"""

from __future__ import annotations

import random
import time

TIMES = 20
WORK = """
import itertools, sys
start = models.Cabinet.objects.count()
for number in itertools.count(start):
    own = {"organisation": organisation, "created_by": user}
    with trail.writing(organisation, user, reason="a pair"):
        cabinet = models.Cabinet.objects.create(name=f"C{number}", **own)
        models.FilterChange.objects.create(cabinet=cabinet, on="2026-11-04", by="A", reason="new", **own)
    print(cabinet.key, flush=True)
"""
TOLD = """
print(*models.Cabinet.objects.exclude(place="0").values_list("key", flat=True))
assert models.Cabinet.objects.exclude(place="0").filter(filter_changes=None).count() == 0, "half written"
"""


def test_killed_while_writing(place):
    chance = random.Random(20261104)
    acknowledged = []
    for _ in range(TIMES):
        child = place.start(WORK)
        first = child.stdout.readline()
        assert first, child.stderr.read()
        time.sleep(chance.uniform(0, 0.12))
        child.kill()
        acknowledged += [first.strip(), *child.communicate(timeout=60)[0].split()]
    assert len(acknowledged) >= TIMES
    there = place.look(TOLD).split()
    assert set(acknowledged) <= set(there), "what was acknowledged is there"
    assert len(there) <= len(acknowledged) + TIMES, "at most one a time came without its acknowledgement"
