"""Workbooks that would fill the memory are refused before they are unpacked or read (OWASP ASVS 5.0.0, 5.2.3)."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from security.workbooks import BOMBS

MOST_SECONDS = 8.0
"""The slowest takes two on an idle machine; unguarded, the texts took 92."""
MOST_MIB = 32.0
"""Unguarded, a file of two kilobytes took 1900."""


@pytest.fixture(scope="module")
def opened(tmp_path_factory):
    """Every bomb opened in a process that did not make them, and whose memory the system counts."""
    folder = tmp_path_factory.mktemp("bombs")
    for name, make in BOMBS.items():
        (folder / f"{name}.xlsx").write_bytes(make())
    program = Path(__file__).with_name("workbooks.py")
    done = subprocess.run(
        [sys.executable, str(program), str(folder)], capture_output=True, text=True, timeout=300
    )
    assert done.returncode == 0, done.stderr
    print(done.stdout)
    return {name: rest for name, *rest in map(json.loads, done.stdout.splitlines())}


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="memory is read from /proc")
@pytest.mark.parametrize("name", BOMBS)
def test_a_bomb_is_refused_in_little_time_and_memory(name, opened):
    _size, said, seconds, grown = opened[name]
    assert said
    assert seconds < MOST_SECONDS
    assert grown < MOST_MIB
