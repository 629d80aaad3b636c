"""Make the readings of the page's example job anew: `python tests/browser_page/make_example_readings.py`.

The carving is as far as a first pass: uncut wood as it should be, the rear of the hollow at four fifths of its depth
with a hand's scatter, one place a little too deep, and nothing read yet toward the front.
"""

from __future__ import annotations

import csv
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np

FOLDER = Path(__file__).resolve().parents[2] / "service" / "page" / "example"
SPACING_MM, BAR_MM = 40, 60
CARVED, SCATTER_MM, READ_TO_MM = 0.8, 0.15, 245
TOO_DEEP_MM, TOO_DEEP_AT_MM = 1.2, (80.0, 160.0)


def main() -> None:
    """Write `readings.csv` beside the order."""
    with tempfile.TemporaryDirectory() as made:
        sheet = Path(made) / "sheet.csv"
        lay = ["--spacing-mm", str(SPACING_MM), "--bar-height-mm", str(BAR_MM), "--to", str(sheet)]
        command = [sys.executable, "-m", "seatmesh", "gauge", "sheet", str(FOLDER / "order.toml"), *lay]
        subprocess.run(command, check=True)
        with sheet.open(newline="") as file:
            rows = list(csv.DictReader(file))
    rng = np.random.default_rng(20260531)
    with (FOLDER / "readings.csv").open("w", newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]), lineterminator="\n")
        writer.writeheader()
        for row in rows:
            if float(row["y_mm"]) <= READ_TO_MM:
                row["reading_mm"] = f"{_reading(row, float(rng.normal(0.0, SCATTER_MM))):.1f}"
            writer.writerow(row)


def _reading(row: dict[str, str], scatter_mm: float) -> float:
    depth = float(row["expected_mm"]) - float(row["datum_mm"])
    if (float(row["x_mm"]), float(row["y_mm"])) == TOO_DEEP_AT_MM:
        return float(row["expected_mm"]) + TOO_DEEP_MM
    return float(row["datum_mm"]) + CARVED * depth + (scatter_mm if depth > 0.0 else 0.0)


if __name__ == "__main__":
    main()
