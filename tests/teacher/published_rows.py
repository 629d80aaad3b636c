"""What elements say beside what was measured on people on a flat board: `python tests/teacher/published_rows.py`.

A mean of a group is held against its standard error, not against the spread of its people. Loads are those of the rows:
area times mean (S3, S4). All is printed, nothing asserted.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass

import numpy as np
from seated_case import Sitting3D, Tissue

from seatmesh import Seat, estimate_body, flat_seat
from seatmesh.chair import Chair
from seatmesh.seating.sitter import lay_over
from seatmesh.wood.blank import Blank

BOARDS = {
    "a chair's flat seat, 430 mm deep": flat_seat(),
    "a board of 480 mm": Seat(
        Blank(width_mm=600.0, depth_mm=480.0, deck_mm=0.0, outline="straight-sided"), Chair(rake_deg=0.0)
    ),
}
"""No row says how far its board reached under the thighs, which moves the area by a tenth."""


@dataclass(frozen=True)
class Group:
    """A group of people: sex, stature and mass of its mean, the load, and what was measured: mean, spread, people."""

    check: str
    sex: str
    stature_mm: float
    mass_kg: float
    load_n: float
    area_cm2: tuple[float, float, int]
    mean_kpa: tuple[float, float, int]


GROUPS = (
    Group("S3", "male", 1740.0, 69.1, 622.0, (830.0, 163.0, 49), (7.5, 1.7, 49)),
    Group("S4", "female", 1610.0, 57.1, 528.0, (813.0, 135.0, 62), (6.5, 1.6, 62)),
)
"""J Phys Ther Sci 2017;29:57-63; statures are guessed, the rows state none."""


def report(group: Group, name: str, board: Seat, tissue: Tissue) -> None:
    """Press the mean of a group on a board and print it."""
    body = estimate_body(group.sex, group.stature_mm, group.mass_kg)  # type: ignore[arg-type]
    seen = Sitting3D(lay_over(body, board), tissue).press(board, group.load_n).figures
    sys.stdout.write(f"{group.check}, {name}:\n")
    for figure, (middle, spread, people) in (("area_cm2", group.area_cm2), ("mean_kpa", group.mean_kpa)):
        z = (seen[figure] - middle) / (spread / np.sqrt(people))
        sys.stdout.write(f"   {figure} {seen[figure]:.4g}, measured {middle:g}, z {z:+.1f}\n")
    left = seen["tissue_left_mm"] / seen["tissue_free_mm"]
    sys.stdout.write(
        f"   peak over 1 cm2 {seen['peak_kpa']:.1f} kPa (S7: 20 to 100, thin sensors 30 to 60)\n"
        f"   hottest 8 % {seen['hottest_8_percent_share']:.3f} of the load (S2: 0.30 to 0.50, held loosely)\n"
        f"   tissue left {left:.2f} of {seen['tissue_free_mm']:.1f} mm (B4, B4b: 0.36 to 0.43, one man)\n"
    )
    sys.stdout.flush()


if __name__ == "__main__":
    for one in GROUPS:
        for words, seat in BOARDS.items():
            report(one, words, seat, Tissue())
