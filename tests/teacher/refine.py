"""One case on meshes of different fineness: what of its figures the mesh still moves, and what each mesh takes.

    python tests/teacher/refine.py [--case man-69_flat_upright_usual] [FINENESS ...]

Each mesh is pressed by a process of its own, so that its memory is its own too. Printed, not asserted: DEVELOPERS.md
shows what came out. The finest usual one takes some minutes and 2.5 GiB.
"""

from __future__ import annotations

import argparse
import json
import resource
import subprocess
import sys
import time

from press_bodies import BODIES, SEATS, cases
from seated_case import Sitting3D, Tissue

from seatmesh.seating.sitter import lay_over

USUAL = (0.7, 1.0, 1.4)
KEYS = ("area_cm2", "mean_kpa", "peak_kpa", "hottest_8_percent_share")


def press(name: str, fineness: float) -> dict[str, float]:
    """Return the figures of a case on one mesh, its nodes, and what it took."""
    case = next(one for one in cases(variants=False) if one.name == name)
    seat = SEATS[case.seat](case.body)
    begun = time.process_time()
    sitting = Sitting3D(lay_over(BODIES[case.body].body(), seat, case.posture), Tissue(), fineness)
    figures = sitting.press(seat).figures
    return {
        "nodes": float(len(sitting.flesh.mesh.points)),
        **{key: float(figures[key]) for key in KEYS},
        "tissue_left_ratio": float(figures["tissue_left_mm"] / figures["tissue_free_mm"]),
        "processor_s": time.process_time() - begun,
        "memory_mib": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0,
    }


def main() -> None:
    """Press a case on each mesh."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--case", default="man-69_flat_upright_usual")
    parser.add_argument("--one", action="store_true", help="press in this very process, and print as JSON")
    parser.add_argument("fineness", nargs="*", type=float, default=list(USUAL))
    given = parser.parse_args()
    if given.one:
        sys.stdout.write(json.dumps(press(given.case, given.fineness[0])) + "\n")
        return
    for fineness in given.fineness:
        command = [sys.executable, __file__, "--case", given.case, "--one", str(fineness)]
        done = subprocess.run(command, capture_output=True, text=True, check=True)
        row = json.loads(done.stdout.strip().splitlines()[-1])
        told = ", ".join(f"{key} {value:.4g}" for key, value in row.items())
        sys.stdout.write(f"fineness {fineness:g}: {told}\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main()
