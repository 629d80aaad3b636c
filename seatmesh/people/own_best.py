"""What peak a person would have on a seat of one's own: an estimate from measures, fitted to seats that were designed.

Designing a seat for everybody would take a second each. `seatmesh.people.derive_own_best` designed seats for some
hundred people, slight to heavy, of wished depths from 8 to 25 mm, in the usual blank with the usual wishes, and fitted
the logarithm of the peak on them: linear in sex and logarithms of measures and depth, with squares and products of the
six that matter most. People left out say how far it is off; criteria carry that into the shares.
"""

from __future__ import annotations

import functools
import json
from importlib import resources
from typing import Any

import numpy as np

from seatmesh.arrays import Bools, Floats
from seatmesh.body.survey.draw import DRAWN
from seatmesh.surface import Seat

DEPTHS_MM = (8.0, 25.0)
"""Depths of the seats that were designed; a seat beyond is compared with the nearest of them."""
USUAL: dict[str, float] = {
    "stature_mm": 1700.0, "mass_kg": 75.0, "tissue_under_sit_bone_mm": 45.0, "underside_flatness_percent": 100.0,
    "sit_bone_spacing_mm": 115.0, "hip_breadth_sitting_mm": 400.0, "thigh_circumference_mm": 620.0,
    "lower_thigh_circumference_mm": 405.0, "thigh_clearance_mm": 175.0, "buttock_popliteal_length_mm": 490.0,
}  # fmt: skip
"""What each measure is divided by before its logarithm is taken."""
USUAL_DEPTH_MM = 16.0
BENT = (
    "mass_kg", "tissue_under_sit_bone_mm", "underside_flatness_percent", "depth_mm", "hip_breadth_sitting_mm",
    "thigh_circumference_mm",
)  # fmt: skip
"""What has squares and products."""


@functools.cache
def _fitted() -> dict[str, Any]:
    text = resources.files("seatmesh.people").joinpath("own_best.json").read_text(encoding="utf-8")
    fitted: dict[str, Any] = json.loads(text)
    return fitted


OWN_ERROR: float = _fitted()["error_left_out"]
"""Standard error of the logarithm of the estimate, on people left out."""
DESIGNED: int = _fitted()["designed"]
"""Seats that were designed for it."""


def terms(women: Bools, measures: Floats, depth_mm: Floats) -> Floats:
    """Return what the logarithm of the peak is linear in, shape (n, terms), of people and depths of seats."""
    logs = {name: np.log(measures[:, DRAWN.index(name)] / usual) for name, usual in USUAL.items()}
    logs["depth_mm"] = np.log(depth_mm / USUAL_DEPTH_MM)
    bent = [logs[a] * logs[b] for i, a in enumerate(BENT) for b in BENT[i:]]
    return np.stack([np.ones(len(measures)), women - 0.5, *logs.values(), *bent], axis=1)


def own_best_peak_kpa(women: Bools, measures: Floats, seat: Seat) -> Floats:
    """Return the peak over 1 cm2 of each person on a seat of one's own that is as deep as `seat`, shape (n,), kPa."""
    depth = np.full(len(measures), own_depth_mm(seat))
    return np.asarray(
        np.exp(np.einsum("ij,j->i", terms(women, measures, depth), np.array(_fitted()["coefficients"])))
    )


def own_depth_mm(seat: Seat) -> float:
    """Return the depth of the seats of one's own that a seat is compared with: its greatest, within `DEPTHS_MM`."""
    return float(np.clip(greatest_depth_mm(seat), *DEPTHS_MM))


@functools.lru_cache(maxsize=64)
def greatest_depth_mm(seat: Seat) -> float:
    """Return the greatest depth of a seat's hollow, the front roll left out."""
    x = np.arange(-0.5 * seat.blank.width_mm, 0.5 * seat.blank.width_mm, 2.0)
    y = np.arange(0.0, max(seat.roll_start_mm, 2.0), 2.0)
    return float(seat.depth_mm(x[None, :], y[:, None]).max())
