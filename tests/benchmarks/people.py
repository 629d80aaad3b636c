"""Many people on one seat: people in a second, memory, and how time grows with their number.

``python tests/benchmarks/people.py [COUNT ...]`` seats 100, 200 and 400 people, or as many as you say, each number in a
process of its own, and prints the slope of log time over log number: 1 is time in proportion to people. With
``--workers N`` N workers of Dask seat them; the memory is then that of this process and of the worker that took most.
"""

import argparse
import json
import math
import resource
import subprocess
import sys
import tempfile
import time
from contextlib import contextmanager
from pathlib import Path

import numpy as np

from seatmesh import Seat
from seatmesh.adjustment import Adjustment
from seatmesh.chair import Chair
from seatmesh.people.engine.cluster import Scheduler
from seatmesh.people.engine.run import Threads
from seatmesh.people.question import PeopleQuestion
from seatmesh.people.study import ask

USUAL = (100, 200, 400)
SEAT = Seat(chair=Chair(front_height_mm=430.0), adjustments=(Adjustment(0.0, 160.0, 190.0, 18.0),))
"""A round hollow without a search for it."""


def spent():
    """Return processor seconds and the greatest memory in MiB of this process."""
    used = resource.getrusage(resource.RUSAGE_SELF)
    return used.ru_utime + used.ru_stime, used.ru_maxrss / 1024.0


@contextmanager
def whoever(workers):
    """Yield who seats people, and a function that tells what each worker spent."""
    if not workers:
        yield Threads(1), list
        return
    import distributed

    with (
        distributed.LocalCluster(
            n_workers=workers, threads_per_worker=1, dashboard_address=None, host="127.0.0.1"
        ) as cluster,
        distributed.Client(cluster, set_as_default=False) as client,
    ):
        yield Scheduler(cluster.scheduler_address), lambda: list(client.run(spent).values())


def timed(count, workers):
    """Seat people; return seconds of wall and processor, and greatest memory here and of a worker, MiB."""
    with whoever(workers) as (those, told), tempfile.TemporaryDirectory() as folder:
        before, began = spent()[0] + sum(busy for busy, _ in told()), time.perf_counter()
        ask(PeopleQuestion(SEAT, count=count), workers=those, keep=Path(folder) / "parts")
        wall, of_workers = time.perf_counter() - began, told()
        busy, here = spent()
        return (
            wall,
            busy + sum(one for one, _ in of_workers) - before,
            here,
            max((most for _, most in of_workers), default=0),
        )


def main():
    """Print a table; with ``--one`` only the one number, as JSON."""
    parser = argparse.ArgumentParser()
    parser.add_argument("counts", nargs="*", type=int, default=list(USUAL))
    parser.add_argument("--workers", type=int, default=0)
    parser.add_argument("--one", action="store_true")
    given = parser.parse_args()
    if given.one:
        sys.stdout.write(json.dumps(timed(given.counts[0], given.workers)))
        return
    rows = []
    sys.stdout.write("   people   wall, s   processor, s   people/processor-s   memory, MiB   of a worker\n")
    for count in given.counts:
        words = [sys.executable, __file__, "--one", "--workers", str(given.workers), str(count)]
        ran = subprocess.run(words, capture_output=True, text=True, check=True)
        wall, busy, here, there = json.loads(ran.stdout)
        rows.append((math.log(count), math.log(busy)))
        sys.stdout.write(f"{count:9,}{wall:10.1f}{busy:15.1f}{count / busy:21.1f}{here:14.0f}{there:14.0f}\n")
        sys.stdout.flush()
    if len(rows) > 1:
        sys.stdout.write(f"slope {np.polyfit(*zip(*rows, strict=True), 1)[0]:.2f}\n")


if __name__ == "__main__":
    main()
