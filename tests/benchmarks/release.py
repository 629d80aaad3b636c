"""What one release of seatmesh takes, told as JSON, so that two may be run in turn by their own interpreters.

`python tests/benchmarks/release.py`, by the interpreter of either; `ratios.py --before PYTHON` does so. Times are of
the processor, ms: a balance on cells of 4 mm to an imbalance of 1e-9, its fields ready, from scratch and from a pose
nearby; the fields of all cells; 50 bodies one by one on cells of 8 mm, times 20.
"""

from __future__ import annotations

import json
import sys
import time
from collections.abc import Callable

from seatmesh import estimate_body, flat_seat
from seatmesh.seating.settle import settle
from seatmesh.seating.sitter import Sitter, lay_over

SEAT = flat_seat()


def best_ms(run: Callable[[], object], times: int) -> float:
    """Return the least of several processor times, ms."""
    spent = []
    for _ in range(times):
        start = time.process_time()
        run()
        spent.append(time.process_time() - start)
    return 1000.0 * min(spent)


def unpressed(sitter: Sitter) -> Sitter:
    """Return the sitter without what was found on seats; an older release keeps nothing of the kind."""
    return sitter.again() if hasattr(sitter, "again") else sitter


def main() -> None:
    """Print the times."""
    sitter = lay_over(estimate_body("male", 1760.0, 78.0), SEAT)
    pose = settle(sitter, SEAT).solution.value
    near = type(pose)(pose.heave_mm + 0.3, pose.pitch + 0.002, pose.roll, pose.load)
    bodies = [estimate_body("female", 1500.0 + 5.0 * k, 45.0 + k) for k in range(50)]

    def fresh() -> None:
        own = lay_over(sitter.body, SEAT, at_mm=(0.0, 1e-6))
        assert len(own.fields.skin) == sitter.grid.wood.size

    def fifty() -> None:
        for body in bodies:
            settle(lay_over(body, SEAT, spacing_mm=8.0), SEAT)

    told = {
        "balance from scratch": best_ms(lambda: settle(unpressed(sitter), SEAT), 30),
        "balance from a pose nearby": best_ms(lambda: settle(unpressed(sitter), SEAT, start=near), 30),
        "fields of all cells": best_ms(fresh, 10),
        "1,000 bodies one by one, 8 mm": 20.0 * best_ms(fifty, 1),
    }
    sys.stdout.write(json.dumps(told) + "\n")


if __name__ == "__main__":
    main()
