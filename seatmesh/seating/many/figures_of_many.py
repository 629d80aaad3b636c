"""The figures of many bodies in balance on one seat, as arrays."""

from __future__ import annotations

import numpy as np

from seatmesh.arrays import Bools, Floats
from seatmesh.contact import ARM_MM
from seatmesh.seating import figures
from seatmesh.seating.figures_in_words import known_left
from seatmesh.seating.laid import Balanced, Laid
from seatmesh.surface import Seat


def figures_of_many(laid: Laid, found: Balanced, seat: Seat, outside: Bools) -> dict[str, Floats]:
    """Return the figures of bodies in balance on a seat, by their names in `ManySittings`.

    `outside` says which cells lie outside the hollow, shape (cells,).
    """
    cells, q = laid.cells, found.balances.q
    touched = found.pressure_mpa * figures.KPA_PER_MPA
    area = cells.area_mm2[found.touched]
    whole = np.zeros((len(touched), len(cells.at)))
    whole[:, found.touched] = touched
    peak, gradient = figures.peaks_and_gradients(cells.spread(whole), cells.grid.cell_mm)
    areas = figures.area_figures(touched, area)
    force = touched * area
    anatomy, seated = laid.seated.anatomy, laid.seated
    tips = np.array([-1.0, 1.0]) * anatomy.sit_bone_x
    pressed = _wood_above(laid, found, seat, tips, np.zeros_like(tips)) - seated.skin(
        tips, np.zeros_like(tips)
    )
    left = 1.0 - np.maximum(pressed, 0.0).max(axis=1) / np.asarray(anatomy.tissue)[:, 0]
    tail_x, tail_y, tail_z = (np.broadcast_to(one, (len(q), 1)) for one in seated.tailbone_tip)
    with np.errstate(invalid="ignore"):
        shares = laid.load_shares(found)
        return {
            "heave_mm": q[:, 0],
            "pitch_deg": np.degrees(q[:, 1] / ARM_MM),
            "roll_deg": np.degrees(q[:, 2] / ARM_MM),
            "peak_kpa": peak,
            "peak_gradient_kpa_per_cm": gradient,
            "contact_area_cm2": areas.contact_cm2,
            "area_above_0_67_kpa_cm2": areas.counted_cm2,
            "mean_kpa": areas.mean_kpa,
            "hottest_8_percent_share": figures.hottest_share(touched, area, found.load.force_n),
            "load_share": shares,
            "tissue_left_ratio": known_left(left),
            "rim_load_share": (force * outside[found.touched]).sum(axis=1) / force.sum(axis=1),
            "tailbone_clearance_mm": (tail_z - _wood_above(laid, found, seat, tail_x, tail_y))[:, 0],
        }


def _wood_above(laid: Laid, found: Balanced, seat: Seat, x: Floats, y: Floats) -> Floats:
    """Return the height of the seat's surface under points of the bodies, (bodies, k), in each body's own frame."""
    on_blank = x + laid.at_mm[0], y + laid.at_mm[1]
    return laid.sink_mm(found.balances, found.load, *on_blank) - seat.depth_mm(*on_blank)
