"""Fit the fast law's constants to the lessons, and try it on bodies and seats that it was not fitted to.

    python tests/teacher/teach_law.py [--held-out] [--columns]

The lessons are those of `lessons.csv`; every case is balanced by the law, and area, peak, share on the hottest 8 %,
share behind the sit bones and within 30 mm of them are compared with what the elements say. `--held-out` fits once for
each body, without that body, and once for each seat, without it, and tells the errors on what was left out. `--columns`
does the same with the law's simplest form, in which only the nearest bone holds the flesh, for comparison.
"""

from __future__ import annotations

import argparse
import csv
import sys
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, fields, replace
from functools import cache

import numpy as np
from lessons import TABLE
from numpy.typing import NDArray
from press_bodies import BODIES, SEATS
from scipy.optimize import least_squares

from seatmesh.contact import Pose
from seatmesh.seating.figures import area_figures, hottest_share
from seatmesh.seating.settle import settle
from seatmesh.seating.sitter import Sitter, lay_over
from seatmesh.surface import Seat
from seatmesh.tissue import TISSUE, Backing, TissueLaw

Floats = NDArray[np.float64]
CELL_MM = 8.0
WEIGHED = {
    "area_cm2": 0.03,
    "peak_kpa": 0.06,
    "hottest_8_percent_share": 0.015,
    "share_within_30_mm": 0.03,
    "share_behind": 0.03,
}
"""What a lesson tells and how far off counts as one: area and peak by their logarithm, shares as they are."""
FITTED = ("modulus_mpa", "lift", "stiffening", "power", "thickening", "wall", "rounding")
OF_FLESH = ("modulus_mpa", "lift", "stiffening", "power")
LOWEST = {
    "modulus_mpa": 1e-3,
    "lift": 0.02,
    "stiffening": 0.05,
    "power": 1.0,
    "thickening": -1.5,
    "wall": -0.5,
}
HIGHEST = {"modulus_mpa": 0.1, "lift": 0.75, "stiffening": 60.0, "power": 5.0, "thickening": 2.0, "wall": 8.0}
FURTHEST = 6.0
"""An error of this many counts as little more than a smaller one, so that no single lesson rules."""


@dataclass
class Lesson:
    """One row of the table, laid over its seat; `pose` is where the last law left it."""

    body: str
    seat: str
    posture: str
    figures: dict[str, float]
    sitter: Sitter
    wood: Seat
    pose: Pose | None = None

    @property
    def name(self) -> str:
        """Body, seat and posture."""
        return f"{self.body} {self.seat} {self.posture}"


@cache
def _seat(name: str, body: int) -> Seat:
    return SEATS[name](body)


def lessons(*, columns: bool = False, flesh: str = "usual") -> list[Lesson]:
    """Return the lessons of one kind of flesh; with `columns` only the nearest bone holds it."""
    found = []
    numbers = {who.name: k for k, who in enumerate(BODIES)}
    for row in csv.DictReader(TABLE.read_text("utf-8").splitlines()):
        if row["flesh"] != flesh:
            continue
        k = numbers[row["body"]]
        seat = _seat(row["seat"], k if row["seat"] in ("fitted", "other") else 0)
        sitter = lay_over(BODIES[k].body(), seat, row["posture"], spacing_mm=CELL_MM)
        if columns:
            b = sitter.fields.backing
            bones = Backing(b.aside[:-1], b.above[:-1], b.radius[:-1], np.zeros_like(b.rise))
            sitter = replace(sitter, held=bones)
        figures = {name: float(row[name]) for name in (*WEIGHED, "load_n")}
        found.append(Lesson(row["body"], row["seat"], row["posture"], figures, sitter, seat))
    return found


def answered(lesson: Lesson, law: TissueLaw) -> dict[str, float] | None:
    """Return a law's figures of a lesson's body and seat; None without a balance."""
    done = settle(lesson.sitter, lesson.wood, law=law, start=lesson.pose)
    if not np.isfinite(done.peak_kpa):
        done = settle(lesson.sitter, lesson.wood, law=law)
    if not np.isfinite(done.peak_kpa):
        return None
    lesson.pose = done.solution.value
    sitter, pressure = lesson.sitter, done.pressure_kpa
    area = sitter.grid.cell_area_mm2 * sitter.grid.wood
    x, y = sitter.cells_mm
    x, y = x - sitter.at_mm[0], y - sitter.at_mm[1]
    force = (pressure * area).ravel()
    near = np.hypot(np.abs(x) - sitter.seated.anatomy.sit_bone_x, y) < 30.0
    return {
        "area_cm2": area_figures(pressure.ravel(), area.ravel()).counted_cm2,
        "peak_kpa": done.peak_kpa,
        "hottest_8_percent_share": hottest_share(pressure.ravel(), area.ravel(), lesson.figures["load_n"]),
        "share_within_30_mm": float(force[near].sum() / force.sum()),
        "share_behind": float(force[y < 0.0].sum() / force.sum()),
    }


def errors(lesson: Lesson, law: TissueLaw) -> Floats:
    """Return a law's errors on a lesson, in the order of `WEIGHED`."""
    said = answered(lesson, law)
    if said is None:
        return np.full(len(WEIGHED), np.inf)
    true = lesson.figures
    return np.array(
        [
            np.log(said[name] / true[name]) if name.endswith(("cm2", "kpa")) else said[name] - true[name]
            for name in WEIGHED
        ]
    )


def residuals(some: Sequence[Lesson], law: TissueLaw) -> Floats:
    """Return a law's errors on lessons over what counts as one, none much above `FURTHEST`."""
    scales = np.array(list(WEIGHED.values()))
    off = np.concatenate([np.minimum(errors(one, law) / scales, 1e3) for one in some])
    return np.asarray(FURTHEST * np.tanh(off / FURTHEST))


def misfit(some: Sequence[Lesson], law: TissueLaw) -> float:
    """Return the sum of squares that `fit` makes least."""
    return float(np.sum(residuals(some, law) ** 2))


def fit(some: Sequence[Lesson], start: TissueLaw, names: Sequence[str] = FITTED) -> TissueLaw:
    """Return the law whose constants `names` fit lessons best."""

    def law(z: Floats) -> TissueLaw:
        return replace(start, **{name: float(value) for name, value in zip(names, z, strict=True)})

    first = np.array([getattr(start, name) for name in names])
    low = [LOWEST.get(name, 0.02) for name in names]
    high = [HIGHEST.get(name, 1.0) for name in names]
    found = least_squares(
        lambda z: residuals(some, law(z)), first, bounds=(low, high), x_scale="jac", diff_step=3e-3, ftol=1e-4,
        max_nfev=40,
    )  # fmt: skip
    return law(found.x)


def held_out(
    some: Sequence[Lesson], start: TissueLaw, names: Sequence[str], kind: Callable[[Lesson], str]
) -> Iterable[tuple[Lesson, Floats]]:
    """Yield each lesson with the errors of a law that was fitted without all of its kind."""
    for left_out in dict.fromkeys(map(kind, some)):
        law = fit([one for one in some if kind(one) != left_out], start, names)
        for one in some:
            if kind(one) == left_out:
                yield one, errors(one, law)


def tell(title: str, rows: Iterable[tuple[Lesson, Floats]], *, each: bool = False) -> None:
    """Print the errors' median and worst, and those of each lesson if asked for."""
    rows = list(rows)
    if each:
        for one, off in rows:
            words = " ".join(f"{value:+.3f}" for value in off)
            sys.stdout.write(f"  {one.name:34} {one.figures['peak_kpa']:5.1f} kPa  {words}\n")
    off = np.array([row for _, row in rows])
    median, worst = np.median(np.abs(off), axis=0), np.abs(off).max(axis=0)
    words = ", ".join(f"{name} {a:.3f} ({b:.3f})" for name, a, b in zip(WEIGHED, median, worst, strict=True))
    gain, least = _gain(rows)
    sys.stdout.write(f"{title}: median (worst) {words}, gain from carving {gain:.3f} ({least:.3f})\n")


def _gain(rows: Sequence[tuple[Lesson, Floats]]) -> tuple[float, float]:
    """Return median and worst error of the peak's fall from flat to each other seat, by its logarithm."""
    column = list(WEIGHED).index("peak_kpa")
    flat = {(one.body, one.posture): off[column] for one, off in rows if one.seat == "flat"}
    gains = [
        abs(off[column] - flat[one.body, one.posture])
        for one, off in rows
        if one.seat != "flat" and (one.body, one.posture) in flat
    ]
    return (float(np.median(gains)), max(gains)) if gains else (float("nan"), float("nan"))


def main() -> None:
    """Read the options and report."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--held-out", action="store_true")
    parser.add_argument("--columns", action="store_true")
    parser.add_argument(
        "--flesh", default="usual", help="a kind of flesh that `press_bodies.py --variants` pressed"
    )
    parser.add_argument("--each", action="store_true", help="print every lesson")
    given = parser.parse_args()
    some = lessons(columns=given.columns, flesh=given.flesh)
    names = FITTED[:-2] if given.columns else FITTED
    if given.flesh != "usual":
        # Few cases tell little of bodies: how flesh is held and what thickness does stay as they are.
        names = OF_FLESH
    start = replace(TISSUE, wall=0.0, rounding=0.0) if given.columns else TISSUE
    tell("as it stands", ((one, errors(one, start)) for one in some), each=given.each)
    law = fit(some, start, names)
    sys.stdout.write(", ".join(f"{one.name}={getattr(law, one.name):.4g}" for one in fields(law)) + "\n")
    tell("fitted to all", ((one, errors(one, law)) for one in some), each=given.each)
    if given.held_out:
        tell("bodies left out", held_out(some, start, names, lambda one: one.body), each=given.each)
        tell("seats left out", held_out(some, start, names, lambda one: one.seat), each=given.each)


if __name__ == "__main__":
    main()
