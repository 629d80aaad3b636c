"""What elements say of bodies that were measured: `python tests/teacher/published_rows.py [--write]`.

Bodies, loads and boards are those of the rows, as far as the rows state them; `--write` renews `published_rows.csv`
beside this file, which `tests/verification/published.py` prints beside the measurements. Nothing is asserted here.
"""

from __future__ import annotations

import argparse
import csv
import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from seated_case import Sitting3D, Tissue

from seatmesh import Seat, estimate_body, flat_seat
from seatmesh.chair import Chair
from seatmesh.seating.sitter import lay_over
from seatmesh.wood.blank import Blank

TABLE = Path(__file__).with_name("published_rows.csv")
BOARDS = {
    "a chair's flat seat": flat_seat(),
    "a board of 480 mm": Seat(
        Blank(width_mm=600.0, depth_mm=480.0, deck_mm=0.0, outline="straight-sided"), Chair(rake_deg=0.0)
    ),
}
"""No row says how far its board reached under the thighs, which moves the area by a tenth."""


@dataclass(frozen=True)
class Pressed:
    """Somebody of a row: sex, stature (guessed), mass, and the load, N; None for that of an upright sitter."""

    name: str
    sex: str
    stature_mm: float
    mass_kg: float
    load_n: float | None


PEOPLE = (
    Pressed("man 69.1 kg", "male", 1740.0, 69.1, 622.0),
    Pressed("woman 57.1 kg", "female", 1610.0, 57.1, 528.0),
    Pressed("man 75 kg, 734 N", "male", 1756.0, 75.0, 734.0),
    Pressed("man 69.1 kg, own load", "male", 1740.0, 69.1, None),
)
"""S3, S4 (area times mean is the load), S1 and S2, S6."""


def figures(one: Pressed, board: Seat) -> dict[str, float]:
    """Press somebody on a board and return what rows compare."""
    body = estimate_body(one.sex, one.stature_mm, one.mass_kg)  # type: ignore[arg-type]
    sitter = lay_over(body, board)
    done = Sitting3D(sitter, Tissue()).press(board, one.load_n)
    seen = done.figures
    found = {name: seen[name] for name in ("area_cm2", "mean_kpa", "peak_kpa", "hottest_8_percent_share")}
    found["tissue_left_share"] = seen["tissue_left_mm"] / seen["tissue_free_mm"]
    found["tissue_left_mm"] = seen["tissue_left_mm"]
    rear = sitter.grid.y_mm < 0.5 * board.blank.depth_mm
    for half, rows in (("rear", rear), ("front", ~rear)):
        pressure = done.pressure_kpa[rows]
        touched = pressure[pressure > 0.67]
        found[f"{half}_mean_kpa"], found[f"{half}_peak_kpa"] = float(touched.mean()), float(touched.max())
        found[f"{half}_area_cm2"] = float(
            np.count_nonzero(pressure > 0.67) * sitter.grid.cell_area_mm2 / 100.0
        )
    return found


def main() -> None:
    """Press all and print; write if asked to."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--write", action="store_true")
    given = parser.parse_args()
    lines = []
    for one in PEOPLE:
        for board, seat in BOARDS.items():
            if board == "a board of 480 mm" and one.load_n is None:
                continue
            for figure, value in figures(one, seat).items():
                lines.append((one.name, board, figure, f"{value:.4g}"))
                sys.stdout.write(", ".join(lines[-1]) + "\n")
            sys.stdout.flush()
    if given.write:
        with TABLE.open("w", encoding="utf-8", newline="") as out:
            csv.writer(out, lineterminator="\n").writerows([("who", "board", "figure", "value"), *lines])


if __name__ == "__main__":
    main()
