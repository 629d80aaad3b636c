"""The record of many bodies in balance on one seat, and the columns that it is filled from."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from seatmesh.arrays import Bools, Floats
from seatmesh.solution import CONVERGED


@dataclass(frozen=True)
class ManySittings:
    """Many bodies in balance on one seat, in the order in which they were given; arrays (bodies,) unless stated.

    Where a body finds no balance `converged` is false, `verdicts` says why, and all but `load_n`, the load's point,
    `feet_share`, `knee_clearance_mm`, `hip_margin_mm` and `residual` is not a number.

    Attributes
    ----------
    converged, verdicts
        Whether each balances: "converged", or in words why not, as of `seatmesh.sit`.
    heave_mm, pitch_deg, roll_deg
        Pose about the load's point: down, front down, sitter's right down.
    load_n, load_x_mm, load_y_mm, feet_share
        What presses the seat, where in the frame of the blank, and the share of the weight on the feet.
    peak_kpa, peak_gradient_kpa_per_cm
        Largest mean over 10 x 10 mm, and the steepest change of such means.
    contact_area_cm2, area_above_0_67_kpa_cm2, mean_kpa
        As of `seatmesh.Figures`.
    hottest_8_percent_share
        Load on the hottest 8 % of the area above 0.67 kPa, over the load.
    load_share
        Shape (bodies, 5): share of the load under each of `seatmesh.body.figure.seated.PARTS`.
    tissue_left_ratio
        Not a number, too, where the tissue is pressed farther than the model knows.
    knee_clearance_mm, tailbone_clearance_mm
        Knee-backs ahead of the front edge; tip of the tailbone above the wood.
    hip_margin_mm
        How much broader than the hips the blank is at the sit bones.
    rim_load_share
        Share of the load on wood outside the hollow; 0 where there is none.
    residual
        What the solver left out of balance, dimensionless.
    """

    converged: Bools
    verdicts: tuple[str, ...]
    heave_mm: Floats
    pitch_deg: Floats
    roll_deg: Floats
    load_n: Floats
    load_x_mm: Floats
    load_y_mm: Floats
    feet_share: Floats
    peak_kpa: Floats
    peak_gradient_kpa_per_cm: Floats
    contact_area_cm2: Floats
    area_above_0_67_kpa_cm2: Floats
    mean_kpa: Floats
    hottest_8_percent_share: Floats
    load_share: Floats
    tissue_left_ratio: Floats
    knee_clearance_mm: Floats
    tailbone_clearance_mm: Floats
    hip_margin_mm: Floats
    rim_load_share: Floats
    residual: Floats

    def __len__(self) -> int:
        return len(self.verdicts)


class Columns:
    """The figures of `ManySittings`, filled up body by body."""

    def __init__(self, count: int) -> None:
        self.verdicts = [""] * count
        self.values = {
            one.name: np.full((count, 5) if one.name == "load_share" else count, np.nan)
            for one in fields(ManySittings)
            if one.name not in ("verdicts", "converged")
        }

    def put(self, at: NDArray[np.int64], found: tuple[tuple[str, ...], dict[str, Floats]]) -> None:
        """Put in the figures of some bodies."""
        for number, verdict in zip(at, found[0], strict=True):
            self.verdicts[number] = verdict
        for name, values in found[1].items():
            self.values[name][at] = values

    def sittings(self) -> ManySittings:
        """Return them all."""
        converged = np.array([verdict == CONVERGED for verdict in self.verdicts], dtype=bool)
        return ManySittings(converged=converged, verdicts=tuple(self.verdicts), **self.values)
