"""``python -m benchmarks.fleet``: cabinets a second and memory of a synthetic fleet with one and two processes.

Peer in the same run: the same number of processes doing numpy's singular values, which tells what a second process is worth on this
machine at all. The fleet's gain is judged as a ratio to that.
"""

from __future__ import annotations

import argparse
import resource
import tempfile
import time
from concurrent.futures import ProcessPoolExecutor
from datetime import date
from multiprocessing import get_context
from pathlib import Path

from stillroom.fleet import make, summary
from stillroom.services.fleet import Options, assess_folder, one_thread_each, start_worker

_PEER_TASKS = 24


def _svd(seed: int) -> float:
    import numpy as np

    return float(np.linalg.svd(np.random.default_rng(seed).standard_normal((700, 700)), compute_uv=False)[0])


def _peer(workers: int) -> float:
    """Peer's tasks a second."""
    with (
        one_thread_each(),
        ProcessPoolExecutor(workers, mp_context=get_context("spawn"), initializer=start_worker) as pool,
    ):
        list(pool.map(_svd, range(workers)))
        start = time.perf_counter()
        list(pool.map(_svd, range(_PEER_TASKS)))
        return _PEER_TASKS / (time.perf_counter() - start)


def main() -> None:
    """Make the fleet, assess it once with one and once with two processes, and print what was measured."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=1000)
    parser.add_argument("--single", type=int, default=100, help="cabinets assessed with one process")
    parser.add_argument("--draws", type=int, default=1000)
    asked = parser.parse_args()
    options = Options(date(2026, 11, 2), draws=asked.draws, invented=True)
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        make(folder / "few", count=asked.single, seed=1)
        make(folder / "all", count=asked.count, seed=1)
        speeds = {}
        for workers, which, count in ((1, "few", asked.single), (2, "all", asked.count)):
            start = time.perf_counter()
            rows = assess_folder(folder / which, folder / f"out-{workers}", options, workers=workers)
            speeds[workers] = count / (time.perf_counter() - start)
            own = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
            worker = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
            print(
                f"{workers} process(es): {count} cabinets, {speeds[workers]:.2f} a second; "
                f"peak {own:.0f} MiB here, {worker:.0f} MiB in the largest worker; {summary(rows)}"
            )
        peer = {workers: _peer(workers) for workers in (1, 2)}
        gain, at_most = speeds[2] / speeds[1], peer[2] / peer[1]
        print(
            f"gain of the second process: {gain:.2f}; of numpy's singular values in the same pool: {at_most:.2f}; "
            f"ratio {gain / at_most:.2f}"
        )


if __name__ == "__main__":
    main()
