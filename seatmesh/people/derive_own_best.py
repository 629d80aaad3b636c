"""Derive `own_best.json`: ``python -m seatmesh.people.derive_own_best [--people N]``; a second and a half for each.

Half of the people are built as the survey's soldiers, half as US adults (A4, A5), so that heavy ones count too. Each
has a seat of one's own with a wished depth drawn between 8 and 25 mm, otherwise the usual blank and wishes. Ten times a
tenth of them is left out of the fit and predicted.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.body.survey.draw import DRAWN
from seatmesh.design.orders.order import Order, OrderedSitter
from seatmesh.design.shape import shape_seat
from seatmesh.errors import SeatmeshError
from seatmesh.files.whole_or_nothing import write_text
from seatmesh.fit.wished.wishes import Wishes
from seatmesh.people.drawn import People, draw_part
from seatmesh.people.own_best import DEPTHS_MM, terms
from seatmesh.people.press import press_people
from seatmesh.people.public import US_ADULTS

SEED, TOGETHER, FOLDS = 977, 25, 10
TARGET = Path(__file__).with_name("own_best.json")


def design_rows(parts: int) -> Floats:
    """Return sex, measures, wished depth and peak on one's own seat of `TOGETHER` people of each part."""
    rows = []
    for part in range(parts):
        people = draw_part(US_ADULTS, SEED, part, TOGETHER)
        depths = np.random.default_rng(part).uniform(*DEPTHS_MM, TOGETHER).round(1)
        for i, depth in enumerate(depths):
            peak = _own_peak(people, i, float(depth))
            if np.isfinite(peak):
                rows.append([people.builds.women[i], *people.measures[i], depth, peak])
        sys.stderr.write(f"{len(rows)} seats\n")
    return np.array(rows, dtype=float)


def _own_peak(people: People, i: int, depth_mm: float) -> float:
    """Return the peak on a person's own seat; not a number where none could be designed."""
    try:
        seat = shape_seat(Order("own", (OrderedSitter(people.body(i)),), wishes=Wishes(depth_mm=depth_mm)))
    except SeatmeshError:
        return float("nan")
    return float(press_people(people.some(np.array([i])), seat).of("peak_kpa")[0])


def left_out_errors(design: Floats, wanted: Floats) -> Floats:
    """Return what each row misses when its tenth is left out of the fit, shape (n,)."""
    order = np.random.default_rng(0).permutation(len(wanted))
    errors = np.empty(len(wanted))
    for fold in range(FOLDS):
        out = order[fold::FOLDS]
        rest = np.setdiff1d(order, out)
        fitted = np.linalg.lstsq(design[rest], wanted[rest], rcond=None)[0]
        errors[out] = wanted[out] - design[out] @ fitted
    return errors


def derived(rows: Floats) -> str:
    """Return the text of `own_best.json`."""
    design = terms(rows[:, 0] > 0.5, rows[:, 1 : 1 + len(DRAWN)], rows[:, -2])
    wanted = np.log(rows[:, -1])
    errors = left_out_errors(design, wanted)
    fitted = np.linalg.lstsq(design, wanted, rcond=None)[0]
    table = {
        "source": "seats designed by this project for drawn people; see derive_own_best.py",
        "designed": len(rows),
        "spread": round(float(wanted.std()), 4),
        "error_left_out": round(float(np.sqrt(np.mean(errors**2))), 4),
        "greatest_error_left_out": round(float(np.abs(errors).max()), 4),
        "coefficients": [float(f"{value:.6g}") for value in fitted],
    }
    return json.dumps(table, indent=1) + "\n"


def main(arguments: Sequence[str] | None = None) -> int:
    """Design seats and write `own_best.json`."""
    parser = argparse.ArgumentParser(description="Derive own_best.json from seats designed for drawn people.")
    parser.add_argument("--people", type=int, default=400, metavar="N", help="how many (default: 400)")
    parser.add_argument("--to", type=Path, default=TARGET, help="where to write (default: beside this file)")
    given = parser.parse_args(arguments)
    write_text(given.to, derived(design_rows(max(2, given.people // TOGETHER))))
    return 0


if __name__ == "__main__":
    sys.exit(main())
