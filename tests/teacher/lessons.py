"""The cases that were pressed by elements as one table, and what the law in use says of the same bodies and seats.

    python tests/teacher/lessons.py FOLDER [--write]

FOLDER holds what `press_bodies.py` left. `--write` renews `lessons.csv` beside this file.
"""

from __future__ import annotations

import argparse
import csv
import sys
from pathlib import Path

import numpy as np
from press_bodies import BODIES, SEATS, Case, cases

from seatmesh import sit

TABLE = Path(__file__).with_name("lessons.csv")
FIGURES = (
    "load_n",
    "area_cm2",
    "mean_kpa",
    "peak_kpa",
    "peak_x_mm",
    "peak_y_mm",
    "hottest_8_percent_share",
    "share_within_30_mm",
    "share_behind",
    "tissue_free_mm",
    "tissue_left_mm",
)
DIGITS = 4


def pressed(folder: Path) -> list[tuple[Case, dict[str, float]]]:
    """Return the cases that a folder holds, with their figures."""
    found = []
    for variants in (False, True):
        for case in cases(variants=variants):
            path = folder / f"{case.name}.npz"
            if path.exists():
                with np.load(path) as data:
                    found.append((case, {name: float(data[name]) for name in FIGURES}))
    return found


def write(rows: list[tuple[Case, dict[str, float]]]) -> None:
    """Renew the table."""
    with TABLE.open("w", encoding="utf-8", newline="") as out:
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(("body", "seat", "posture", "flesh", *FIGURES))
        for case, figures in rows:
            words = (f"{figures[name]:.{DIGITS}g}" for name in FIGURES)
            writer.writerow((BODIES[case.body].name, case.seat, case.posture, case.variant, *words))


def by_law(case: Case) -> dict[str, float]:
    """Return the figures of the law in use."""
    figures = sit(BODIES[case.body].body(), SEATS[case.seat](case.body), posture=case.posture).figures
    return {
        "area_cm2": figures.area_above_0_67_kpa_cm2,
        "peak_kpa": figures.peak_kpa,
        "hottest_8_percent_share": figures.hottest_8_percent_share,
    }


def compare(rows: list[tuple[Case, dict[str, float]]]) -> None:
    """Print what the law in use says beside the elements: area and peak over theirs, share less theirs."""
    errors = []
    for case, figures in rows:
        if case.variant != "usual":
            continue
        law = by_law(case)
        area = law["area_cm2"] / figures["area_cm2"] - 1.0
        peak = law["peak_kpa"] / figures["peak_kpa"] - 1.0
        share = law["hottest_8_percent_share"] - figures["hottest_8_percent_share"]
        errors.append((area, peak, share))
        sys.stdout.write(
            f"{case.name:36} area {figures['area_cm2']:5.0f} cm2 {area:+4.0%}  peak {figures['peak_kpa']:5.1f} kPa "
            f"{peak:+5.0%}  share {figures['hottest_8_percent_share']:.3f} {share:+.3f}\n"
        )
    worst, median = np.abs(errors).max(axis=0), np.median(np.abs(errors), axis=0)
    for word, row in (("worst", worst), ("median", median)):
        sys.stdout.write(f"{word:36} area {row[0]:.0%}, peak {row[1]:.0%}, share {row[2]:.3f}\n")


def main() -> None:
    """Read the options and report."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("folder", type=Path)
    parser.add_argument("--write", action="store_true")
    given = parser.parse_args()
    rows = pressed(given.folder)
    if given.write:
        write(rows)
    compare(rows)


if __name__ == "__main__":
    main()
