"""The cases of the reference: which tissue, bone, seat and loads; each solved, and its figures as one row."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from ogden import Ogden
from press_assembly import flat_ground, round_ground
from press_discrete import discretise
from press_figures import figures, profile
from press_mesh import buttock, thigh
from press_solver import press_through

Floats = NDArray[np.float64]
Row = dict[str, float]

NEO_HOOKEAN = Ogden(mu_kpa=13.0, alpha=2.0)
MIDDLING = Ogden(mu_kpa=12.0, alpha=3.5)
STIFFENING = Ogden(mu_kpa=10.0, alpha=5.0)
"""As fat in Oomens et al. 2003 Clin Biomech 18:923 (mu 10 kPa, alpha 5, from memory)."""
TISSUES = (NEO_HOOKEAN, MIDDLING, STIFFENING)
"""The moduli are such that each comes down from 38.8 mm to 14.1 mm (B4) at about 150 N on one sit bone. Results for
another modulus are these, loads and pressures alike multiplied by the ratio."""
FINENESS = 3
STATIONS_MM: Floats = np.concatenate([np.arange(0.0, 42.0), np.arange(42.0, 78.0, 2.0)])
"""Where the pressure is tabled: 60 points from the middle outward."""
SIT_BONE_LOADS_N = (50.0, 75.0, 100.0, 150.0, 200.0)
THIGH_LOADS_N_PER_MM = (0.1, 0.2, 0.35, 0.5, 0.8)


@dataclass(frozen=True)
class Case:
    """One bone in its tissue on one seat.

    Attributes
    ----------
    part
        "sit bone" (turned about its axis) or "thigh" (a slice, loads in N per mm).
    material
        The tissue.
    thickness_mm, bone_radius_mm
        Free tissue under the bone and the radius of the bone's tip.
    dish_mm
        Radius of the hollow under it, 0 for a flat seat.
    top_held
        1 where the top of the flesh moves with the bone, 0 where it is free.
    """

    part: str
    material: Ogden
    thickness_mm: float
    bone_radius_mm: float
    dish_mm: float = 0.0
    top_held: int = 0


def solve_case(case: Case, loads: tuple[float, ...] | None = None, fineness: int = FINENESS) -> list[Row]:
    """Return one row a load; loads that are not reached (tissue has flowed out from under the bone) have none."""
    turned = case.part == "sit bone"
    if turned:
        section = buttock(case.thickness_mm, case.bone_radius_mm, fineness=fineness, lid=bool(case.top_held))
    else:
        section = thigh(case.thickness_mm, case.bone_radius_mm, fineness=fineness)
    ground = round_ground(-case.dish_mm) if case.dish_mm else flat_ground
    discrete = discretise(section)
    rows = []
    for state in press_through(
        discrete, case.material, loads or (SIT_BONE_LOADS_N if turned else THIGH_LOADS_N_PER_MM), ground
    ):
        r, p = profile(discrete, case.material, state.unknowns, ground)
        f = figures(r, p, state.load_n, axisymmetric=turned)
        row: Row = {
            "alpha": case.material.alpha,
            "mu_kpa": case.material.mu_kpa,
            "thickness_mm": case.thickness_mm,
            "bone_radius_mm": case.bone_radius_mm,
            "dish_mm": case.dish_mm,
            "top_held": case.top_held,
            "load": state.load_n,
            "approach_mm": state.approach_mm,
            "tissue_left_mm": case.thickness_mm - state.approach_mm,
            "touch_radius_mm": f.touch_mm,
            "touch_area": f.touch_area,
            "area": f.above_area,
            "top_kpa": f.top_kpa,
            "peak_kpa": f.peak_kpa,
            "share": f.share,
        }
        at_station = np.interp(STATIONS_MM, r, p, right=0.0)
        rows.append(row | {f"p{s:g}": float(v) for s, v in zip(STATIONS_MM, at_station, strict=True)})
    return rows


def sit_bone_cases() -> list[Case]:
    """Return the sit-bone cases: thickness x radius on a flat seat, then hollows, then the held top."""
    cases = []
    for tissue in TISSUES:
        flat = [(t, r, 0.0) for t in (18.0, 25.0, 32.5, 40.0, 50.0) for r in (12.0, 15.0, 18.0, 22.0)]
        cases += [Case("sit bone", tissue, t, r, dish) for t, r, dish in flat + _hollows()]
        cases.append(Case("sit bone", tissue, 40.0, 18.0, 0.0, 1))
    return cases


def _hollows() -> list[tuple[float, float, float]]:
    """Return thickness, bone radius and radius of the hollow; round skin of 110 mm lies closely in one of 160 mm."""
    one = [(t, r, dish) for t in (25.0, 40.0) for r in (15.0, 22.0) for dish in (160.0, 250.0)]
    other = [(t, r, dish) for t in (32.5, 50.0) for r in (12.0, 22.0) for dish in (160.0, 600.0)]
    return one + other


def thigh_cases() -> list[Case]:
    """Return the thigh cases."""
    return [Case("thigh", tissue, t, 14.0) for tissue in TISSUES for t in (50.0, 60.0, 70.0)]
