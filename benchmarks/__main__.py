"""``python -m benchmarks``: prints every measurement with its ratio to a peer measured in the same run."""

from __future__ import annotations

import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import date
from importlib import resources
from pathlib import Path


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


def main() -> None:
    """Start-up against a bare interpreter; the demo's assessment and papers against budgets and against each other."""
    python = sys.executable
    bare = _seconds([python, "-c", "pass"])
    numpy = _seconds([python, "-c", "import numpy"])
    package = _seconds([python, "-c", "import stillroom"])
    help_page = _seconds([python, "-c", "from stillroom.cli.main import main; main()", "--help"])
    print(f"python -c pass           {bare * 1e3:6.0f} ms")
    print(f"import numpy (peer)      {numpy * 1e3:6.0f} ms  adds {1e3 * (numpy - bare):.0f} ms")
    print(
        f"import stillroom         {package * 1e3:6.0f} ms  adds {1e3 * (package - bare):.0f} ms, {(package - bare) / (numpy - bare):.2f} of numpy's"
    )
    print(f"stillroom --help         {help_page * 1e3:6.0f} ms  {help_page / numpy:.2f} of importing numpy")

    from stillroom.cabinet.load import load_cabinet
    from stillroom.inventory import read
    from stillroom.room.load import load_room
    from stillroom.services.assess import assess
    from stillroom.services.papers import papers

    with resources.as_file(resources.files("stillroom.cli") / "demo") as folder:
        inventory = read(folder / "inventory.csv")
        cabinet = load_cabinet(folder / "cabinet.toml")
        room = load_room(folder / "room.toml")

    def assessment() -> object:
        return assess(inventory, cabinet, room, date=date(2026, 11, 2), invented=True)

    record = assess(inventory, cabinet, room, date=date(2026, 11, 2), invented=True)
    count = sum(item.count for item in inventory.containers)
    whole = _call(assessment)
    small = _call(lambda: assess(inventory, cabinet, room, date=date(2026, 11, 2), draws=100))
    paper = _call(lambda: papers(record))
    print(
        f"demo assessment, warm    {whole:6.2f} s   {count} containers, 1000 draws; {whole / small:.1f} of the same with 100 draws"
    )
    print(f"demo papers, warm        {paper:6.2f} s   {paper / _typst():.1f} of a one-line typst document")
    print(f"peak memory              {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:6.0f} MiB")


def _typst() -> float:
    import typst

    with tempfile.TemporaryDirectory() as folder:
        source = Path(folder) / "one.typ"
        source.write_text("One line.")
        return _call(lambda: typst.compile(str(source)))


if __name__ == "__main__":
    main()
