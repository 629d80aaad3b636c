"""How good a scan was: where it saw the face, how far that lies off the seat read, and off the seat that was meant."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import ndimage

from seatmesh.arrays import Floats
from seatmesh.errors import ValueRefusedError
from seatmesh.reading.quality.coverage import near_mm
from seatmesh.reading.surface_points import Face
from seatmesh.surface import Seat
from seatmesh.wood.blank import Blank

STEP_MM = 4.0
EDGE_MM = 2.0


@dataclass(frozen=True)
class Quality:
    """A scan's quality over a grid of the blank's plan; every array has shape (rows of y, columns of x).

    Attributes
    ----------
    x_mm, y_mm
        The grid's columns and rows.
    seen
        1 where a point lies nearby, 0 where none does, NaN off the face.
    residual_mm
        How much deeper the scan's points lie than the seat read, by the mean of a cell; NaN where there is none.
    deeper_than_meant_mm
        How much deeper the seat read is than the one meant; None where none was given.
    """

    x_mm: Floats
    y_mm: Floats
    seen: Floats
    residual_mm: Floats
    deeper_than_meant_mm: Floats | None


def quality(seat: Seat, face: Face, meant: Seat | None = None) -> Quality:
    """Return where a scan saw the face, and how far it lies off a seat read and one meant.

    Raises
    ------
    ValueRefusedError
        The seat meant has another blank.
    """
    if meant is not None and not _alike(seat.blank, meant.blank):
        raise ValueRefusedError(
            "meant",
            meant.title,
            "its blank differs from the scan's in outline, measures or deck line",
            "give the seat file that this very seat was carved from",
        )
    blank = seat.blank
    polygon = blank.polygon_mm()
    (left, rear), (right, front) = polygon.min(axis=0), polygon.max(axis=0)
    x, y = np.arange(left, right + STEP_MM, STEP_MM), np.arange(rear, front + STEP_MM, STEP_MM)
    grid_x, grid_y = np.meshgrid(x, y)
    own = blank.inside_mm(grid_x, grid_y) > EDGE_MM + blank.round_over_mm
    residual = _mean_of_cells(face, seat, x, y)
    # Cells that the coarsest sound scan leaves empty between its points count as seen.
    reach = max(1, round(near_mm(face.spacing_mm) / STEP_MM))
    seen = _near(np.isfinite(residual), reach)
    deeper = None
    if meant is not None:
        deeper = np.where(own, seat.depth_mm(grid_x, grid_y) - meant.depth_mm(grid_x, grid_y), np.nan)
    return Quality(
        x_mm=x,
        y_mm=y,
        seen=np.where(own, seen.astype(float), np.nan),
        residual_mm=np.where(own, residual, np.nan),
        deeper_than_meant_mm=deeper,
    )


def _alike(one: Blank, other: Blank) -> bool:
    a, b = one.polygon_mm(), other.polygon_mm()
    same_deck = (one.deck_mm, one.deck_line, one.gutter_depth_mm) == (
        other.deck_mm, other.deck_line, other.gutter_depth_mm,
    )  # fmt: skip
    return a.shape == b.shape and bool(np.allclose(a, b, atol=0.01)) and same_deck


def _mean_of_cells(face: Face, seat: Seat, x: Floats, y: Floats) -> Floats:
    """Return the mean of how much deeper points lie than a seat, about each place of a grid."""
    plan = face.seen_mm
    off = face.seen_depth_mm - seat.depth_mm(plan[:, 0], plan[:, 1])
    column = np.rint((plan[:, 0] - x[0]) / STEP_MM).astype(np.int64)
    row = np.rint((plan[:, 1] - y[0]) / STEP_MM).astype(np.int64)
    inside = (column >= 0) & (column < len(x)) & (row >= 0) & (row < len(y))
    key = row[inside] * len(x) + column[inside]
    count = np.bincount(key, minlength=len(x) * len(y)).astype(float)
    total = np.bincount(key, weights=off[inside], minlength=len(x) * len(y))
    mean = np.full(len(count), np.nan)
    mean[count > 0.0] = total[count > 0.0] / count[count > 0.0]
    return np.asarray(mean.reshape(len(y), len(x)))


def _near(marked: np.ndarray[tuple[int, int], np.dtype[np.bool_]], reach: int) -> Floats:
    return np.asarray(ndimage.binary_dilation(marked, iterations=reach), dtype=float)


def meant_figures(found: Quality) -> dict[str, float]:
    """Return how far the seat read lies off the one meant: rms, mean, and what 95 % keep within, mm."""
    if found.deeper_than_meant_mm is None:
        return {}
    off = found.deeper_than_meant_mm[np.isfinite(found.deeper_than_meant_mm)]
    return {
        "off_meant_rms_mm": float(np.sqrt(np.mean(off**2))),
        "deeper_than_meant_mean_mm": float(off.mean()),
        "off_meant_95_mm": float(np.quantile(np.abs(off), 0.95)),
    }
