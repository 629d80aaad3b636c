"""The sitter's underside as a body to hold against the mock-up of the seat."""

from __future__ import annotations

from typing import Literal

import numpy as np
from scipy.interpolate import RegularGridInterpolator

from seatmesh.arrays import Floats
from seatmesh.errors import NotAmongError, ValueRefusedError
from seatmesh.mock_up.booleans import height_block
from seatmesh.mock_up.cut import cut_to_bed
from seatmesh.mock_up.seat import factor_of
from seatmesh.mock_up.stock import MockUp, Printer, Stock
from seatmesh.seating.sitting import Sitting
from seatmesh.units import real_number, shown

Skin = Literal["pressed", "free"]

LEAST_TOP_MM, MOST_TOP_MM = 5.0, 150.0


def sitter_body(
    sitting: Sitting,
    scale: str | float,
    *,
    skin: Skin = "pressed",
    top_mm: float = 40.0,
    bed_mm: tuple[float, float, float] = (220.0, 220.0, 220.0),
    wall_mm: float = 1.2,
    clearance_mm: float = 0.2,
) -> MockUp:
    """Return the sitter's underside, in its pose on the seat, as parts to print, flat top down on the bed.

    Parameters
    ----------
    skin
        "pressed": as the seat flattens it, so that both fit together in the hand; "free": as it hangs.
    top_mm
        Height above the blank's top face where the body is cut off flat, at full size.
    scale, bed_mm, wall_mm, clearance_mm
        As for the seat's own mock-up.

    Raises
    ------
    ValueRefusedError
        The sitter found no balance, nothing of the body lies below `top_mm`, or as for the seat's mock-up.
    """
    printer = Printer(bed_mm, wall_mm, clearance_mm)
    stock = sitter_stock(sitting, factor_of(scale), skin, top_mm)
    return cut_to_bed(stock, printer, factor_of(scale))


def sitter_stock(sitting: Sitting, factor: float, skin: Skin, top_mm: float) -> Stock:
    """Return the body turned over about the centre line, so that it stands on its flat top at z = 0."""
    top = real_number("top_mm", top_mm)
    if not LEAST_TOP_MM <= top <= MOST_TOP_MM:
        raise ValueRefusedError(
            "top_mm", top, f"allowed is {LEAST_TOP_MM:g} to {MOST_TOP_MM:g} mm", "give mm above the blank"
        )
    if not sitting.converged:
        raise ValueRefusedError("sitting", sitting.verdict, "allowed is a sitter in balance", "sit again")
    rise = factor * (top - underside_mm(sitting, skin))
    # Turned over, the sitter's right lies at -x.
    x, y, z = factor * -sitting.x_mm[::-1], factor * sitting.y_mm, rise[:, ::-1]
    if not z.max() > 0.0:
        raise ValueRefusedError("top_mm", top, "all of the body is above it", "give a higher one")
    sunk = -factor * MOST_TOP_MM
    block = height_block(x, y, np.maximum(z, 0.9 * sunk), sunk)
    body = max(block.trim_by_plane((0.0, 0.0, 1.0), 0.0).decompose(), key=lambda piece: float(piece.volume()))
    height = RegularGridInterpolator((y, x), z, bounds_error=False, fill_value=0.0)
    return Stock(body, lambda at_x, at_y: np.asarray(height((at_y, at_x))))


def underside_mm(sitting: Sitting, skin: Skin) -> Floats:
    """Return the height of the underside over the sitting's grid, shape (ny, nx)."""
    if skin == "free":
        return sitting.skin_mm
    if skin != "pressed":
        raise NotAmongError("skin", shown(skin), ("pressed", "free"))
    wood = -sitting.seat.depth_mm(sitting.x_mm[None, :], sitting.y_mm[:, None])
    return np.asarray(np.maximum(sitting.skin_mm, wood))
