"""The figures and notes of one sitting."""

from __future__ import annotations

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.body.figure.seated import PARTS
from seatmesh.contact import Pose
from seatmesh.seating import figures
from seatmesh.seating.load import front_edge_above_knee_back_mm
from seatmesh.seating.settle import Settled
from seatmesh.seating.sitter import Sitter
from seatmesh.seating.sitting_figures import Figures, LoadPoint, LoadShare
from seatmesh.surface import Seat
from seatmesh.units import format_length

USUAL_KNEE_CLEARANCE_MM = 50.0
"""Least usual distance from front edge to knee-back (D2)."""
MOST_KNEE_CLEARANCE_MM = 160.0
"""Beyond it hardly half of a thigh is borne; common practice, from memory."""
LEFT_BEYOND, LEFT_SLOPE = 0.061, 0.942
LEFT_ERROR = 0.018
"""Standard deviation of what elements leave about the line (`tests/teacher/test_law.py`)."""
LEAST_KNOWN_LEFT = 0.308
"""By the law; no case of the elements that taught it is pressed farther."""
PRESSED_FAR = (
    "{}: the flesh under the sit bones is pressed farther than in any case that the model learned from; peak and area "
    "are carried on from there, and hardly sure"
)


def figures_of(sitter: Sitter, seat: Seat, settled: Settled) -> Figures:
    """Return the figures of a body that settled on a seat."""
    grid, solution = sitter.grid, settled.solution
    load, pressure = solution.value.load, settled.pressure_kpa.ravel()
    if not solution.converged:
        # Nothing was balanced where nothing was solved: JSON has no infinity.
        residual = solution.residual if np.isfinite(solution.residual) else None
        return Figures.known(solution.verdict, load_n=load.force_n, converged=False, residual=residual)
    area = grid.cell_area_mm2 * grid.wood.ravel()
    force_n = pressure * area / figures.KPA_PER_MPA
    peak, gradient = figures.peak_and_gradient(pressure.reshape(grid.wood.shape), grid.cell_mm)
    areas = figures.area_figures(pressure, area)
    left = tissue_left(sitter, seat, solution.value)
    return Figures(
        load_n=load.force_n,
        contact_area_cm2=float(areas.contact_cm2),
        area_above_0_67_kpa_cm2=float(areas.counted_cm2),
        mean_kpa=float(areas.mean_kpa),
        peak_kpa=peak,
        peak_gradient_kpa_per_cm=gradient,
        hottest_8_percent_share=float(figures.hottest_share(pressure, area, load.force_n)),
        load_share=LoadShare(**dict(zip(PARTS, settled.load_shares.tolist(), strict=True))),
        tissue_left_ratio=left,
        knee_clearance_mm=knee_clearance_of(sitter, seat),
        tailbone_clearance_mm=tailbone_clearance_of(sitter, seat, solution.value),
        load_point_mm=LoadPoint(load.x_mm, load.y_mm),
        feet_share=sitter.load.feet_share,
        pitch_deg=float(np.degrees(solution.value.pitch)),
        roll_deg=float(np.degrees(solution.value.roll)),
        balance_error=_balance_error(sitter, force_n, solution.value),
        converged=True,
        residual=solution.residual,
        notes=(*notes(sitter, seat), *([] if left is not None else [PRESSED_FAR.format(sitter.body.name)])),
    )


def notes(sitter: Sitter, seat: Seat) -> list[str]:
    """Return in words what a maker should know of this sitter on this chair."""
    out = [f"{sitter.body.name}: {note}" for note in sitter.body.notes]

    def length(mm: float) -> str:
        return format_length(mm, seat.units, decimals=0)

    hips = sitter.body.measures["hip_breadth_sitting_mm"]
    if hips.value > seat.blank.width_mm:
        out.append(
            f"{sitter.body.name}: the blank is {length(seat.blank.width_mm)} wide, and the hips are taken as "
            f"{length(hips.value)}, estimated ({length(hips.low_90)} to {length(hips.high_90)}): measure "
            "hip_breadth_sitting_mm"
        )
    above = front_edge_above_knee_back_mm(sitter.seated, seat.chair)
    if above > 0:
        out.append(
            f"{sitter.body.name}: the front edge stands {length(above)} above the knee-back in shoes and will press "
            "the thighs; lower the seat or shorten the legs of the chair"
        )
    clearance = knee_clearance_of(sitter, seat)
    if clearance < 0:
        out.append(
            f"{sitter.body.name}: the seat is {length(-clearance)} too deep for the sitter's buttock-popliteal "
            "length; make it shallower from front to rear"
        )
    elif clearance < USUAL_KNEE_CLEARANCE_MM:
        out.append(
            f"{sitter.body.name}: only {length(clearance)} from front edge to knee-back; "
            f"{length(USUAL_KNEE_CLEARANCE_MM)} or more is usual"
        )
    elif clearance > MOST_KNEE_CLEARANCE_MM:
        out.append(
            f"{sitter.body.name}: the thighs stand out {length(clearance)} beyond the front edge and are hardly borne; "
            "narrow the deck, or deepen the blank from front to rear"
        )
    return out


def tissue_left(sitter: Sitter, seat: Seat, pose: Pose) -> float | None:
    """Return what is left of the tissue under the sit bone pressed hardest, a share; None beyond what is known.

    Elements of whole bodies leave a little more than lies between bone and wood by the law: the line was fitted to
    their cases, `LEFT_ERROR` off it.
    """
    left = float(known_left(np.array(thickness_left(sitter, seat, pose))))
    return None if np.isnan(left) else left


def known_left(left: Floats) -> Floats:
    """Return what elements leave for what the law leaves; not a number beyond what is known."""
    return np.where(left >= LEAST_KNOWN_LEFT, np.minimum(LEFT_BEYOND + LEFT_SLOPE * left, 1.0), np.nan)


def thickness_left(sitter: Sitter, seat: Seat, pose: Pose) -> float:
    """Return the height from wood to the sit bone pressed hardest, by the law, over its unloaded thickness."""
    x = np.array([-1.0, 1.0]) * sitter.seated.anatomy.sit_bone_x
    y = np.zeros(2)
    above = sitter.seated.skin(x, y) - _wood_below(sitter, seat, pose, x, y)
    return float(1.0 - np.maximum(-above, 0.0).max() / sitter.seated.anatomy.tissue)


def knee_clearance_of(sitter: Sitter, seat: Seat) -> float:
    """Return how far the knee-backs are ahead of the front edge."""
    return float(sitter.at_mm[1] + sitter.seated.knee_back_y - seat.blank.depth_mm)


def tailbone_clearance_of(sitter: Sitter, seat: Seat, pose: Pose) -> float:
    """Return how far the tip of the tailbone itself stays above the seat."""
    x, y, z = sitter.seated.tailbone_tip
    return float(z - _wood_below(sitter, seat, pose, np.array([x]), np.array([y]))[0])


def _wood_below(sitter: Sitter, seat: Seat, pose: Pose, x: Floats, y: Floats) -> Floats:
    """Return the height of the seat's surface under points of the body, in the frame of the body."""
    on_blank = x + sitter.at_mm[0], y + sitter.at_mm[1]
    return pose.sink_mm(*on_blank) - seat.depth_mm(*on_blank)


def _balance_error(sitter: Sitter, force_n: Floats, pose: Pose) -> float:
    """Return the largest imbalance of force (over the load) and of moments (over load times 100 mm)."""
    x, y = sitter.cells_mm
    load = pose.load
    imbalance = [
        float(force_n.sum()) - load.force_n,
        float((force_n * (x - load.x_mm)).sum()) / 100.0,
        float((force_n * (y - load.y_mm)).sum()) / 100.0,
    ]
    return float(max(abs(value) for value in imbalance) / load.force_n)
