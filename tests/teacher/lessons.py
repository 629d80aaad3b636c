"""The cases that were pressed by elements as one table: `python tests/teacher/lessons.py FOLDER`.

FOLDER holds what `press_bodies.py` left; `lessons.csv` beside this file is renewed. What the law in use says of the
same bodies and seats is told by `teach_law.py --each`.
"""

from __future__ import annotations

import argparse
import csv
from pathlib import Path

import numpy as np
from press_bodies import BODIES, Case, cases

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


def main() -> None:
    """Read the options and renew the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("folder", type=Path)
    write(pressed(parser.parse_args().folder))


if __name__ == "__main__":
    main()
