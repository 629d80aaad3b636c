"""Press bodies on seats by elements and keep what they say: the lessons for the fast law.

    python tests/teacher/press_bodies.py FOLDER [--only PART_OF_A_NAME] [--variants] [--fineness 1.0]

Each case is one file in FOLDER; a case that is there is not pressed again, so a run may be stopped at any time.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import product
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from ogden_solid import Ogden
from seated_case import Sitting3D, Tissue

from seatmesh import Seat, estimate_body, flat_seat
from seatmesh.body.body import Body
from seatmesh.seating.sitter import lay_over
from seatmesh.spline import BicubicSpline

Floats = NDArray[np.float64]


FITTED = Path(__file__).with_name("fitted_seats.npz")


@dataclass(frozen=True)
class Who:
    """A body to press: sex, stature and mass, and what it is known to have beside."""

    name: str
    sex: str
    stature_mm: float
    mass_kg: float
    known: tuple[tuple[str, float], ...] = ()

    def body(self) -> Body:
        """Return the body."""
        return estimate_body(self.sex, self.stature_mm, self.mass_kg, **dict(self.known))  # type: ignore[arg-type]


TISSUE, FLATNESS, HIP = "tissue_under_sit_bone_mm", "underside_flatness_percent", "hip_breadth_sitting_mm"
BODIES = (
    Who("man-69", "male", 1740.0, 69.1),
    Who("woman-57", "female", 1610.0, 57.1),
    Who("man-95", "male", 1780.0, 95.0),
    Who("woman-85", "female", 1640.0, 85.0),
    Who("man-58", "male", 1780.0, 57.5),
    Who("woman-48", "female", 1620.0, 48.0),
    Who("man-80-thick", "male", 1760.0, 80.0, ((TISSUE, 54.0), (FLATNESS, 90.0))),
    Who("woman-66-thin", "female", 1660.0, 66.0, ((TISSUE, 34.0), (FLATNESS, 115.0))),
    Who("man-112", "male", 1740.0, 112.0),
    Who("woman-98", "female", 1610.0, 98.0),
    Who("man-64-flat", "male", 1660.0, 64.0, ((FLATNESS, 135.0),)),
    Who("woman-72-round", "female", 1740.0, 72.0, ((FLATNESS, 78.0), (HIP, 415.0))),
    Who("man-75", "male", 1756.0, 75.0),
    Who("woman-62", "female", 1560.0, 62.0),
)
"""BMI 18 to 38, both sexes; some with more, less, flatter or rounder flesh than their measures lead one to expect."""


@dataclass(frozen=True)
class Bowl:
    """A smooth hollow, `deepest_mm` at (0, `y_mm`), nothing beyond its half-axes; a ridge between the thighs."""

    deepest_mm: float
    y_mm: float
    half_axes_mm: tuple[float, float]
    ridge_mm: float = 0.0

    def __call__(self, x: Floats, y: Floats) -> Floats:
        """Return the depth."""
        out = (np.asarray(x) / self.half_axes_mm[0]) ** 2 + (
            (np.asarray(y) - self.y_mm) / self.half_axes_mm[1]
        ) ** 2
        ridge = (
            self.ridge_mm
            * np.exp(-((np.asarray(x) / 28.0) ** 2))
            / (1.0 + np.exp((self.y_mm + 70.0 - y) / 18.0))
        )
        return np.asarray(np.maximum(self.deepest_mm - ridge, 0.0) * np.maximum(1.0 - out, 0.0) ** 2)


def bowl(
    deepest_mm: float, ridge_mm: float = 0.0, axes: tuple[float, float] = (195.0, 165.0), y_mm: float = 190.0
) -> Seat:
    """Return a seat with a bowl, its front rolled as that of a flat seat is."""
    flat = flat_seat()
    return Seat(flat.blank, flat.chair, Bowl(deepest_mm, y_mm, axes, ridge_mm), flat.front_roll_mm)  # type: ignore[arg-type]


def fitted(who: Who) -> Seat:
    """Return the seat that an earlier law had shaped for a body: kept, so that the lessons do not move with the law."""
    with np.load(FITTED) as kept:
        hollow = BicubicSpline(kept["knots_x"], kept["knots_y"], kept[who.name].astype(float))
    flat = flat_seat()
    return Seat(flat.blank, flat.chair, hollow, flat.front_roll_mm)


SEATS: dict[str, Callable[[int], Seat]] = {
    "flat": lambda k: flat_seat(),
    "deep": lambda k: bowl(18.0),
    "fitted": lambda k: fitted(BODIES[k]),
    "shallow": lambda k: bowl(10.0),
    "other": lambda k: fitted(BODIES[(k + 3) % len(BODIES)]),
    "ridge": lambda k: bowl(15.0, ridge_mm=9.0, axes=(180.0, 200.0), y_mm=200.0),
}
VARIANTS = {
    "soft": Tissue(Ogden(2.8, 12.0)),
    "mild": Tissue(Ogden(4.3, 7.0)),
    "sliding": Tissue(Ogden(3.5, 10.0), sliding_cut=True),
    "fat": Tissue(Ogden(4.4, 10.0), fat_share=0.5),
    "firm": Tissue(Ogden(5.0, 10.0)),
}
"""What nobody knows of flesh, each a sensible other choice; the usual one is `Tissue()`."""


@dataclass(frozen=True)
class Case:
    """A case to press."""

    name: str
    body: int
    seat: str
    posture: str = "upright"
    variant: str = "usual"


def cases(*, variants: bool) -> Iterator[Case]:
    """Yield the cases, in an order in which a part of them is already of use."""
    if variants:
        for seat in ("flat", "fitted", "deep"):
            for variant, k in product(VARIANTS, (0, 1)):
                yield Case(f"{BODIES[k].name}_{seat}_upright_{variant}", k, seat, variant=variant)
        return
    for some in (range(0, 6), range(6, len(BODIES))):
        for seat in ("flat", "deep", "fitted"):
            for k in some:
                yield Case(f"{BODIES[k].name}_{seat}_upright_usual", k, seat)
        for k in some:
            yield Case(f"{BODIES[k].name}_fitted_slouched_usual", k, "fitted", "slouched")
        for seat in ("other", "shallow", "ridge"):
            for k in some:
                yield Case(f"{BODIES[k].name}_{seat}_upright_usual", k, seat)
        for k in some:
            yield Case(f"{BODIES[k].name}_flat_slouched_usual", k, "flat", "slouched")


def press_case(case: Case, fineness: float = 1.0) -> dict[str, object]:
    """Return a case's figures and pressure."""
    seat = SEATS[case.seat](case.body)
    sitter = lay_over(BODIES[case.body].body(), seat, case.posture)
    tissue = VARIANTS[case.variant] if case.variant in VARIANTS else Tissue()
    done = Sitting3D(sitter, tissue, fineness).press(seat)
    return {**done.figures, "pressure_kpa": done.pressure_kpa.astype(np.float32)}


def main() -> None:
    """Press the cases that are not there yet."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("folder", type=Path)
    parser.add_argument("--only", default="")
    parser.add_argument("--variants", action="store_true")
    parser.add_argument("--fineness", type=float, default=1.0)
    given = parser.parse_args()
    given.folder.mkdir(parents=True, exist_ok=True)
    for case in cases(variants=given.variants):
        target = given.folder / f"{case.name}.npz"
        if given.only not in case.name or target.exists():
            continue
        begun = time.perf_counter()
        try:
            found = press_case(case, given.fineness)
        except Exception as error:
            sys.stdout.write(f"{case.name}: {error}\n")
            continue
        np.savez_compressed(target, **found)  # type: ignore[arg-type]
        words = " ".join(
            f"{key} {found[key]:.3g}"
            for key in ("area_cm2", "mean_kpa", "peak_kpa", "hottest_8_percent_share")
        )
        sys.stdout.write(f"{case.name}: {words}, {time.perf_counter() - begun:.0f} s\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main()
