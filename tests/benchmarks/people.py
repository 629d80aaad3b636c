"""Many people on one seat: people in a second, memory, and how time grows with their number.

``python tests/benchmarks/people.py [COUNT ...]`` seats 100, 200 and 400 people, or as many as you say, each number in a
process of its own, and prints the slope of log time over log number: 1 is time in proportion to people.
"""

import json
import math
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

from seatmesh import flat_seat
from seatmesh.people.engine.run import Threads
from seatmesh.people.question import PeopleQuestion
from seatmesh.people.study import ask

USUAL = (100, 200, 400)


def timed(count):
    """Seat people in one thread; return seconds of wall and processor, and the greatest memory in MiB."""
    began, busy = time.perf_counter(), time.process_time()
    with tempfile.TemporaryDirectory() as folder:
        ask(PeopleQuestion(flat_seat(), count=count), workers=Threads(1), keep=Path(folder) / "parts")
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
    return time.perf_counter() - began, time.process_time() - busy, most


def main():
    """Print a table; with ``--one COUNT`` only that number, as JSON."""
    if sys.argv[1:2] == ["--one"]:
        sys.stdout.write(json.dumps(timed(int(sys.argv[2]))))
        return
    counts = [int(one) for one in sys.argv[1:]] or list(USUAL)
    rows = []
    sys.stdout.write("   people   wall, s   processor, s   people/processor-s   memory, MiB\n")
    for count in counts:
        ran = subprocess.run(
            [sys.executable, __file__, "--one", str(count)], capture_output=True, text=True, check=True
        )
        wall, busy, most = json.loads(ran.stdout)
        rows.append((math.log(count), math.log(busy)))
        sys.stdout.write(f"{count:9,}{wall:10.1f}{busy:15.1f}{count / busy:21.1f}{most:14.0f}\n")
    if len(rows) > 1:
        sys.stdout.write(f"slope {np.polyfit(*zip(*rows, strict=True), 1)[0]:.2f}\n")


if __name__ == "__main__":
    main()
