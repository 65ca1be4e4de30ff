"""``python -m benchmarks``: every speed contract, beside a named peer measured in the same run, as a ratio.

The peer tells a slow or busy machine from a slow program: judge by the ratio where the seconds surprise. Exit status 1 where
a contract is broken. The contracts and what was measured stand in docs/reference/speed.md.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import date
from importlib import resources
from itertools import count
from pathlib import Path

_PEAK = "import resource; print('peak', resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)"
_LIBRARIES = "import numpy, scipy.optimize, chemicals, thermo, typst; from ortools.sat.python import cp_model"
_DAY = date(2026, 11, 2)


def _seconds(command: list[str], runs: int = 7) -> float:
    """Median wall time of a whole process [s]."""
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def _call(work: Callable[[], object], runs: int = 3) -> float:
    """Median wall time of a warm call [s]."""
    work()
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def _peak(code: str) -> float:
    """Peak memory of a fresh interpreter that ran `code` [MiB]."""
    done = subprocess.run(
        [sys.executable, "-c", f"{code}\n{_PEAK}"], check=True, capture_output=True, text=True
    )
    return float(done.stdout.rsplit("peak", 1)[1])


def _row(what: str, value: float, unit: str, contract: float, peer: str, beside: float) -> bool:
    """Prints one contract, the peer and their ratio; whether it holds."""
    holds = value < contract
    verdict = "holds " if holds else "BROKEN"
    print(
        f"{what:<18}{value:8.3f} {unit:<4} {verdict} (< {contract:g})   {peer}: {beside:.3f} {unit}, ratio {value / beside:.2f}"
    )
    return holds


def _svd() -> object:
    import numpy as np

    return np.linalg.svd(np.random.default_rng(1).standard_normal((1000, 1000)))


def _typst() -> object:
    import typst

    with tempfile.TemporaryDirectory() as folder:
        source = Path(folder) / "one.typ"
        source.write_text("One line.")
        return typst.compile(str(source))


def main() -> int:
    """Start-up, the demo's assessment and its papers, memory, single steps: each against its contract and its peer."""
    from benchmarks.parts import parts
    from stillroom.cabinet.load import load_cabinet
    from stillroom.inventory import read
    from stillroom.room.load import load_room
    from stillroom.services.assess import assess
    from stillroom.services.papers import papers

    python = sys.executable
    bare = _seconds([python, "-c", "pass"])
    numpy = _seconds([python, "-c", "import numpy"])
    package = _seconds([python, "-c", "import stillroom"])
    help_page = _seconds([python, "-c", "from stillroom.cli.main import main; main()", "--help"])
    held = [
        _row("import stillroom", package - bare, "s", 0.1, "import numpy, both less the bare start", numpy - bare),
        _row("stillroom --help", help_page, "s", 0.25, "python -c 'import numpy'", numpy),
    ]  # fmt: skip

    with resources.as_file(resources.files("stillroom.cli") / "demo") as folder:
        inventory = read(folder / "inventory.csv")
        asked = read(folder / "inventory-asked.csv")
        cabinet = load_cabinet(folder / "cabinet.toml")
        room = load_room(folder / "room.toml")
    seeds = count(1)  # another each time: what was computed once is not computed again
    record = assess(inventory, cabinet, room, date=_DAY, invented=True)
    whole = _call(lambda: assess(inventory, cabinet, room, date=_DAY, invented=True, seed=next(seeds)))
    more = _call(lambda: assess(asked, cabinet, room, date=_DAY, invented=True, seed=next(seeds)))
    paper = _call(lambda: papers(record))
    held += [
        _row("demo assessment", whole, "s", 5.0, "numpy's SVD of a 1000 x 1000 matrix", _call(_svd)),
        _row("demo, more asked for", more, "s", 5.0, "numpy's SVD of a 1000 x 1000 matrix", _call(_svd)),
        _row("demo papers", paper, "s", 2.0, "typst on one line", _call(_typst)),
    ]
    demo = (
        "import sys, tempfile; from stillroom.cli.main import main\n"
        "sys.argv = ['stillroom', 'demo', '--out', tempfile.mkdtemp()]\n"
        "try:\n    main()\nexcept SystemExit:\n    pass"
    )
    held.append(
        _row("demo, peak memory", _peak(demo), "MiB", 1024.0, "its libraries imported", _peak(_LIBRARIES))
    )
    held += [
        _row(what, _call(work), "s", most, peer, _call(beside)) for what, work, most, peer, beside in parts()
    ]
    return 0 if all(held) else 1


if __name__ == "__main__":
    sys.exit(main())
