"""Killed without warning while files come in through the page: a file that was acknowledged is there byte for byte, in its
case; one that was not is there whole or not at all; the chain is whole.
"""

from __future__ import annotations

import random

TIMES = 20
PREPARE = """
import hashlib, os
from django.test import Client
client = Client(HTTP_HOST="localhost")
client.force_login(user, backend="django.contrib.auth.backends.ModelBackend")
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
def take_in():
    case = store.new_draft(organisation, user, title="t", inputs={})
    note = os.urandom(50_000).hex()
    content = f"name,cas,amount,unit,note\\nToluene,108-88-3,1,L,{note}\\n".encode()
    address = reverse("inventory", kwargs={"key": case.key})
    print("sent", case.key, hashlib.sha256(content).hexdigest(), flush=True)
    answer = client.post(address, {"file": SimpleUploadedFile("bottles.csv", content), "pasted": ""})
    assert answer.status_code == 302, answer.content
    print("taken", case.key, hashlib.sha256(content).hexdigest(), flush=True)
take_in()  # by then everything is loaded
"""
WORK = "while True: take_in()"
TOLD = """
import hashlib
from django.db import connection
files = {}
for file in models.StoredFile.objects.all():
    content = bytes(file.content)
    assert len(content) == file.size and hashlib.sha256(content).hexdigest() == file.sha256, "half stored"
    files[file.pk] = file.sha256
cases = models.Assessment.objects.exclude(inventory=None)
for case in cases:
    print(case.key, files[case.inventory_id])
assert sorted(files) == sorted(case.inventory_id for case in cases), "a file without its case"
"""


def test_killed_while_files_come_in(place):
    chance = random.Random(20261125)
    sent, taken = set(), set()
    kills = [(2, chance.uniform(0, 0.2)) for _ in range(TIMES)]
    for said in place.lives(WORK, kills, prepare=PREPARE):
        for line in said:
            word, *pair = line.split()
            (taken if word == "taken" else sent).add(tuple(pair))
    there = {tuple(line.split()) for line in place.look(TOLD).splitlines()}
    print(f"upload: {TIMES} kills; {len(sent)} sent, {len(taken)} acknowledged, {len(there)} there")
    assert len(taken) >= TIMES, "hardly anything came in between the kills"
    assert taken <= there, "what was acknowledged is there, as it was sent"
    assert there <= sent, "nothing is there that was not sent"
    assert len(there - taken) <= TIMES, "at most one a time came without its acknowledgement"
    assert len(sent - taken) >= 1, "no kill fell between sending and acknowledgement"
