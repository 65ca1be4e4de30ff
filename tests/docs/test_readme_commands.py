"""Every `$ stillroom …` line of the README runs as it stands, beside the example files that it names."""

from __future__ import annotations

import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
LINES = re.findall(r"^\$ stillroom (.+)$", (ROOT / "README.md").read_text("utf-8"), re.MULTILINE)


@pytest.mark.parametrize("line", LINES)
def test_the_command_runs(line: str, tmp_path: Path) -> None:
    for name in ("inventory.csv", "room.toml", "cabinet.toml"):
        shutil.copy(ROOT / "examples" / name, tmp_path)
    words = shlex.split(line, comments=True)
    if words[0] == "serve":
        words.append("--help")  # it would not end
    command = [sys.executable, "-c", "from stillroom.cli.main import main; main()", *words]
    done = subprocess.run(
        command, cwd=tmp_path, capture_output=True, text=True, encoding="utf-8", timeout=240, check=False
    )
    assert done.returncode in (0, 1), done.stderr  # 1 is an answer: not approved
    assert "Traceback" not in done.stderr
    if "--out" in words:
        assert any((tmp_path / words[words.index("--out") + 1]).iterdir())


def test_the_readme_has_commands() -> None:
    assert len(LINES) >= 5
