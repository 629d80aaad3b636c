"""Laying a scan's outline on the blank's, where no centre line was given."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.optimize import least_squares

from seatmesh.errors import ValueRefusedError
from seatmesh.reading.placing import Frame, Plane, frame_along
from seatmesh.wood.blank import Blank

Floats = NDArray[np.float64]

ALONG = 400
"""Points along the outline that are compared."""
STEEPEST = 0.7
"""The file's y tells the front where its share square to the seat is less."""
ABOVE_MM = 2.0
WORST_FIT_MM = 12.0


def frame_by_outline(points: Floats, plane: Plane, blank: Blank) -> Frame:
    """Return the frame on a plane in which the scan's outline lies on the blank's; the file's y points ahead.

    Raises
    ------
    ValueRefusedError
        The file's y stands square to the seat, or the outlines do not fit.
    """
    if abs(plane.normal[1]) > STEEPEST:
        raise ValueRefusedError(
            "placing",
            "rim plane without centre line",
            "the file's y does not run along the seat",
            "give centre_line",
        )
    first = frame_along(plane, np.zeros(3), np.array([0.0, 1.0, 0.0]))
    hull = _footprint(first.into(points), blank)
    rim = hull.exterior
    seen = shapely.get_coordinates(
        rim.interpolate(np.linspace(0.0, 1.0, ALONG, endpoint=False), normalized=True)
    )
    drawn = shapely.Polygon(blank.polygon_mm()).convex_hull
    edge = drawn.exterior
    shapely.prepare(drawn)
    start = np.array([0.0, *(_middle(drawn.bounds) - _middle(hull.bounds))])
    pivot = _middle(hull.bounds)

    def off(unknown: Floats) -> Floats:
        moved = _moved(seen, unknown, pivot)
        away = shapely.distance(edge, shapely.points(moved))
        return np.asarray(np.where(shapely.contains_xy(drawn, moved[:, 0], moved[:, 1]), -away, away))

    # In radians the turn counts for little beside the shifts: it is scaled by an arm of the seat.
    found = least_squares(
        off, start, loss="soft_l1", f_scale=1.0, x_scale=(0.005, 1.0, 1.0), xtol=1e-12, ftol=1e-12
    )
    fit = float(np.sqrt(np.mean(off(found.x) ** 2)))
    if fit > WORST_FIT_MM:
        raise ValueRefusedError(
            "placing",
            "rim plane without centre line",
            f"the scan's outline is {fit:.1f} mm off the blank's",
            "give centre_line, and check the blank",
        )
    return _turned(first, found.x, pivot)


def _footprint(local: Floats, blank: Blank) -> shapely.Polygon:
    """Return the hull of what lies between a little above the rim and the underside, in the plan."""
    wood = (local[:, 2] < ABOVE_MM) & (local[:, 2] > -1.2 * blank.thickness_mm)
    hull = shapely.MultiPoint(local[wood, :2]).convex_hull
    if hull.geom_type != "Polygon":
        raise ValueRefusedError(
            "placing", "rim plane", "the scan covers no area", "check that it is this seat"
        )
    return hull


def _middle(bounds: tuple[float, float, float, float]) -> Floats:
    return 0.5 * np.array([bounds[0] + bounds[2], bounds[1] + bounds[3]])


def _rotation(angle: float) -> Floats:
    return np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])


def _moved(plan: Floats, unknown: Floats, pivot: Floats) -> Floats:
    return np.asarray((plan - pivot) @ _rotation(unknown[0]).T + pivot + unknown[1:])


def _turned(first: Frame, unknown: Floats, pivot: Floats) -> Frame:
    """Return the frame in which a point's plan is moved by the turn and shift found."""
    turn = _rotation(unknown[0])
    # moved = turn (plan - pivot) + pivot + shift is zero at the new origin.
    origin = pivot - turn.T @ (pivot + unknown[1:])
    axes = np.vstack([turn @ first.axes[:2], first.axes[2:]])
    return Frame(first.origin + origin @ first.axes[:2], axes)
