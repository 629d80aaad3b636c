"""The committed tables of the reference: written and read."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from reference_case import Row

Floats = NDArray[np.float64]

FOLDER = Path(__file__).parent
SIT_BONE = FOLDER / "reference_sit_bone.csv"
"""One row a case and load. load in N, areas in cm2, peak_kpa over a disc of 1 cm2, p<r> in kPa at r mm."""
THIGH = FOLDER / "reference_thigh.csv"
"""One row a case and load, a slice. load in N per mm, areas stand for widths in mm, peak_kpa over 10 mm."""


def write_rows(rows: Sequence[Row], path: Path) -> None:
    """Write rows as CSV, numbers to four figures (the profile to three)."""
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(rows[0])
        writer.writerows(
            [f"{value:.3g}" if name[1:].isdigit() else f"{value:.4g}" for name, value in row.items()]
            for row in rows
        )


def read_rows(path: Path) -> list[Row]:
    """Return the rows of a table."""
    with path.open(newline="", encoding="utf-8") as file:
        return [{name: float(value) for name, value in row.items()} for row in csv.DictReader(file)]
