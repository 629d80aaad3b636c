"""What a user waits for: `python tests/benchmarks/commands.py [--before PYTHON] [--rounds N]`. Nothing is asserted.

Commands run as a maker starts them, each in a process of its own, in turn with those of another release. Told are the
least time by the clock and the least of the processor, all processes together, in s. "Libraries alone" loads what
`shape` needs and does no more: NumPy and SciPy in one process, then matplotlib's and VTK's part in two forked from it.
No release that draws with them can be faster. `POST /seats` is asked of a service that has answered before, each time
for another depth; it is told by the clock.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path

BODY = "stature_mm = 1640\nmass_kg = 61\n"
ORDER = 'title = "bench"\n[[sitter]]\nbody = "body.toml"\n'
LIBRARIES = """
import os, scipy.interpolate, scipy.ndimage, scipy.optimize, scipy.sparse.linalg, scipy.spatial
for name in ("matplotlib.figure", "pyvista"):
    if not os.fork():
        __import__(name)
        os._exit(0)
for _ in range(2):
    os.wait()
"""
COMMANDS = {
    "libraries alone": ("-c", LIBRARIES),
    "shape": ("-m", "seatmesh", "shape", "bench.toml"),
    "sit": ("-m", "seatmesh", "sit", "out/bench/seat.json", "--body", "body.toml"),
    "sheets": ("-m", "seatmesh", "sheets", "out/bench/seat.json"),
    "demo": ("-m", "seatmesh", "demo", "--out", "demo"),
}
DEPTHS_MM = (14.0, 15.0, 16.0, 17.0)


def spent_s(command: Sequence[str], folder: Path) -> tuple[float, float]:
    """Return the time by the clock and that of the processor, s, of a command and of all that it starts."""
    before, start = os.times(), time.monotonic()
    subprocess.run(command, cwd=folder, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    clock, after = time.monotonic() - start, os.times()
    user, system = after.children_user - before.children_user, after.children_system - before.children_system
    return clock, user + system


@contextmanager
def service(python: str, port: int, folder: Path) -> Iterator[str]:
    """Yield the address of a service that answers."""
    words = [
        python,
        "-m",
        "seatmesh",
        "serve",
        "--port",
        str(port),
        "--folder",
        str(folder / f"seats-{port}"),
    ]
    # From the folder, lest another release's interpreter takes up the tree that this is started in.
    running = subprocess.Popen(words, cwd=folder, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    address = f"http://127.0.0.1:{port}"
    try:
        for _ in range(300):
            with suppress(urllib.error.URLError):
                urllib.request.urlopen(f"{address}/health").read()
                break
            time.sleep(0.1)
        yield address
    finally:
        running.terminate()
        running.wait()


def seats_s(python: str, port: int, folder: Path) -> float:
    """Return the least time by the clock, s, that a seat took a service, but for the first one."""
    spent = []
    with service(python, port, folder) as address:
        for depth in DEPTHS_MM:
            order = {"sitter": [{"body": "woman-p50"}], "wishes": {"depth_mm": depth}}
            asked = urllib.request.Request(
                f"{address}/seats", json.dumps(order).encode(), {"Content-Type": "application/json"}
            )
            start = time.monotonic()
            urllib.request.urlopen(asked).read()
            spent.append(time.monotonic() - start)
    return min(spent[1:])


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--before", help="the Python of another release")
    parser.add_argument("--rounds", type=int, default=3)
    given = parser.parse_args()
    pythons = [sys.executable, *([given.before] if given.before else [])]
    with tempfile.TemporaryDirectory() as room:
        folders = [Path(room, str(number)) for number in range(len(pythons))]
        for folder in folders:
            folder.mkdir()
            (folder / "body.toml").write_text(BODY, "utf-8")
            (folder / "bench.toml").write_text(ORDER, "utf-8")
        for words, command in COMMANDS.items():
            rounds = [
                [spent_s([python, *command], folder) for python, folder in zip(pythons, folders, strict=True)]
                for _ in range(given.rounds)
            ]
            told = [[min(kind) for kind in zip(*ones, strict=True)] for ones in zip(*rounds, strict=True)]
            each = ", before ".join(f"{clock:6.2f} s, processor {cpu:6.2f} s" for clock, cpu in told)
            sys.stdout.write(f"{words:24} {each}; ratio {told[0][0] / told[-1][0]:.2f}\n")
            sys.stdout.flush()
        clocks = [seats_s(python, 8790 + number, folders[number]) for number, python in enumerate(pythons)]
        each = ", before ".join(f"{clock:6.2f} s" for clock in clocks)
        sys.stdout.write(f"{'POST /seats, warm':24} {each}; ratio {clocks[0] / clocks[-1]:.2f}\n")


if __name__ == "__main__":
    main()
