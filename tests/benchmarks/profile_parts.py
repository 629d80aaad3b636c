"""Where the processor's time goes, part by part: `python tests/benchmarks/profile_parts.py`. Nothing here is asserted.

Commands run as a maker starts them, each in a process of its own, into a folder that is thrown away; what the service
does for a seat and a preview runs here, for the second time. Times are of the processor, in s.
"""

from __future__ import annotations

import cProfile
import os
import pstats
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from seatmesh.design.demo import demo_orders
from seatmesh.design.orders.order import order_from_table
from seatmesh.design.preview import preview
from seatmesh.design.shape import design

PARTS = {
    "laying over": ("figure/seated.py:skin", "figure/seated.py:held", "figure/seated.py:seat_body"),
    "balance": ("balancing.py:balance_all",),
    "target and form": ("wished/target.py:target", "wished/form.py:form_of", "wished/form.py:springs_of"),
    "programme": ("programme.py:_solved", "programme.py:_unbounded"),
    "all": ("preview.py:preview", "shape.py:design"),
}
"""Functions whose whole time is told as a part; some lie in others."""


def command_s(*words: str) -> float:
    """Return the processor time of one command and of all that it starts."""
    before = os.times()
    done = subprocess.run(
        [sys.executable, "-m", "seatmesh", *words],
        check=False,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
    )
    if done.returncode:
        sys.stderr.write(done.stderr.decode())
    after = os.times()
    return after.children_user - before.children_user + after.children_system - before.children_system


def parts_s(run: Callable[[], object]) -> dict[str, float]:
    """Return the processor time of each part of a run, told by a profile and scaled to a run without one."""
    run()
    start = time.process_time()
    run()
    plain = time.process_time() - start
    profile = cProfile.Profile(time.process_time)
    profile.runcall(run)
    spent = pstats.Stats(profile).stats  # type: ignore[attr-defined]
    whole = max(one[3] for one in spent.values())

    def of(names: tuple[str, ...]) -> float:
        found = 0.0
        for (file, _, function), one in spent.items():
            found += one[3] * any(f"{file}:{function}".endswith(name) for name in names)
        return found * plain / whole

    return {part: of(names) for part, names in PARTS.items()}


def main() -> None:
    """Print the table."""
    order = order_from_table(demo_orders()["viola"][1], "viola", "viola")
    wishes = [replace(order, wishes=replace(order.wishes, depth_mm=14.0 + k)) for k in range(3)]
    for words, run in {
        "preview": lambda: preview(wishes[1]),
        "one seat": lambda: design(order),
    }.items():
        told = ", ".join(f"{part} {spent:.3f}" for part, spent in parts_s(run).items())
        sys.stdout.write(f"{words:24} {told}\n")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "viola.toml")
        path.write_text(demo_orders()["viola"][0], encoding="utf-8")
        out = ("--out", str(Path(folder, "out")))
        sys.stdout.write(f"{'start (--help)':24} {command_s('--help'):.2f}\n")
        sys.stdout.write(f"{'shape':24} {command_s('shape', str(path), *out):.2f}\n")
        seat = next(Path(folder).rglob("seat.json"))
        readings = Path(folder, "readings.csv")
        gauge = ("--spacing-mm", "40", "--bar-height-mm", "60", "--rod-offset-mm", "0", "--to", str(readings))
        for words, given in {
            "sit": ("sit", str(seat), "--body", "viola"),
            "sheets": ("sheets", str(seat), *out),
            "gauge sheet": ("gauge", "sheet", str(seat), *gauge),
            "demo": ("demo", "--out", str(Path(folder, "demo"))),
        }.items():
            sys.stdout.write(f"{words:24} {command_s(*given):.2f}\n")


if __name__ == "__main__":
    main()
