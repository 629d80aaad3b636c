"""Where to cut next: patches of wood still to take under the fair surface, the most first."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.ndimage import label
from scipy.spatial import KDTree

from seatmesh.arrays import Bools, Floats
from seatmesh.gauge.check.fair.fair_surface import FairSurface
from seatmesh.surface import Seat

CELL_MM = 5.0
REACH_MM = 80.0
"""How far from where most is to be taken one patch goes: what is cut before the gauge is laid on again."""
LEAST_MM2 = 400.0
"""A smaller patch lies between crossings and is left to the scraper."""
MOST = 12
CARVED_MM = 0.05
REACHED_SPACINGS = 0.8
"""How far from a reading, in spacings of the grid, the surface is trusted enough to cut by."""


@dataclass(frozen=True)
class Cut:
    """A patch to be cut.

    Attributes
    ----------
    x_mm, y_mm
        Where most is to be taken.
    amount_mm, mean_mm
        The most that readings bear out, so that nobody cuts below the seat; and the mean of the wood over the patch,
        as it most likely is, no more than that.
    area_cm2, volume_cm3
        Of the patch and of the wood in it.
    """

    x_mm: float
    y_mm: float
    amount_mm: float
    mean_mm: float
    area_cm2: float
    volume_cm3: float


@dataclass(frozen=True)
class Field:
    """Wood to take over the cells of a grid.

    Attributes
    ----------
    x_mm, y_mm
        Columns (nx,) and rows (ny,).
    to_take_mm
        Shape (ny, nx): the seat's depth less that of the fair surface; NaN off the outline or far from any reading.
    at_most_mm
        Shape (ny, nx): how much of it the nearest reading and its error bear out.
    carved
        Shape (ny, nx): where the seat is carved.
    likely, sure
        Shape (ny, nx): where wood is likely, and surely, too high or too deep, if at all: a cut is ordered from where
        it is sure over what is likely.
    """

    x_mm: Floats
    y_mm: Floats
    to_take_mm: Floats
    at_most_mm: Floats
    carved: Bools
    likely: Bools
    sure: Bools


def field_of(
    seat: Seat,
    surface: FairSurface,
    spacing_mm: float,
    places_mm: tuple[Floats, Floats],
    take_there: Bools,
    most_mm: Floats,
    errors: tuple[float, float],
) -> Field:
    """Return the wood to take everywhere, from the fair surface through differences from the seat (positive deeper).

    Nowhere is more taken than the seat is deep. What the nearest reading and its own error bear out stands beside it,
    since a fair surface rounds off the edge of a cut. `places_mm` (n,) are all readings, `take_there` (n,) those at
    which wood is to be taken: where the nearest one says otherwise nothing is; `most_mm` (n,) what each of them bears
    out at most.
    `errors` are the standard errors of the surface from which wood is likely, and surely, off.
    """
    half = 0.5 * seat.blank.width_mm
    x = np.arange(-np.floor(half / CELL_MM), np.floor(half / CELL_MM) + 1) * CELL_MM
    y = np.arange(0.0, seat.blank.depth_mm + 1e-9, CELL_MM)
    columns, rows = (a.ravel() for a in np.meshgrid(x, y))
    near, _ = KDTree(np.column_stack([surface.places.x_mm, surface.places.y_mm])).query(
        np.column_stack([columns, rows])
    )
    inside = (seat.blank.inside_mm(columns, rows) >= 0.0) & (near <= REACHED_SPACINGS * spacing_mm)
    take = np.full(len(columns), np.nan)
    depth = seat.depth_mm(columns, rows)
    fair = np.minimum(-surface.at(columns[inside], rows[inside]), depth[inside])
    in_errors = np.zeros(len(columns))
    nearest = KDTree(np.column_stack(places_mm)).query(np.column_stack([columns[inside], rows[inside]]))[1]
    error = surface.error_mm(columns[inside], rows[inside])
    in_errors[inside] = take_there[nearest] * np.abs(fair) / np.maximum(error, 1e-9)
    take[inside] = fair
    borne_out = np.full(len(columns), np.nan)
    borne_out[inside] = np.minimum(fair, most_mm[nearest])
    shape = (len(y), len(x))
    return Field(
        x,
        y,
        take.reshape(shape),
        borne_out.reshape(shape),
        (depth > CARVED_MM).reshape(shape),
        *(in_errors.reshape(shape) > one for one in errors),
    )


def next_cuts(field: Field, tolerance_mm: float) -> tuple[Cut, ...]:
    """Return what to cut, the most first: cells whose fair surface stands more than the tolerance too high.

    Each patch is surely too high somewhere and likely so everywhere. From the cell where most is to be taken it reaches
    over the cells that hang together with it, no farther than `REACH_MM`; then from what is left, and so on.
    """
    left = field.carved & field.likely & (np.nan_to_num(field.to_take_mm) > tolerance_mm)
    left &= np.nan_to_num(field.at_most_mm) > 0.5 * tolerance_mm
    columns, rows = np.meshgrid(field.x_mm, field.y_mm)
    cuts: list[Cut] = []
    while left.any() and len(cuts) < MOST:
        top = np.unravel_index(int(np.argmax(np.where(left, field.at_most_mm, -np.inf))), left.shape)
        x, y = float(columns[top]), float(rows[top])
        within = left & (np.hypot(columns - x, rows - y) <= REACH_MM)
        patch = _connected(within, (int(top[0]), int(top[1])))
        left &= ~patch
        if not field.sure[patch].any():
            continue
        if (area := float(patch.sum()) * CELL_MM**2) < LEAST_MM2:
            continue
        take, most = field.to_take_mm[patch], float(field.at_most_mm[patch].max())
        cuts.append(
            Cut(
                x,
                y,
                most,
                min(float(take.mean()), most),
                area / 100.0,
                float(take.sum()) * CELL_MM**2 / 1000.0,
            )
        )
    return tuple(cuts)


def _connected(cells: Bools, start: tuple[int, int]) -> Bools:
    parts, _ = label(cells)
    return np.asarray(parts == parts[start])
