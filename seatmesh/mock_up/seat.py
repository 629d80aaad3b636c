"""A seat as a mock-up: at a scale, flat side down, in parts that fit the printer."""

from __future__ import annotations

import numpy as np
import shapely

from seatmesh.arrays import Floats
from seatmesh.errors import ValueRefusedError
from seatmesh.formats.mesh_scale import GREATEST, SMALLEST, parse_scale
from seatmesh.mesh import Mesh
from seatmesh.mock_up.booleans import as_manifold, footprint
from seatmesh.mock_up.cut import cut_to_bed
from seatmesh.mock_up.stock import MockUp, Printer, Stock
from seatmesh.solids.carved import FINEST_TOLERANCE_MM, solid
from seatmesh.surface import Seat
from seatmesh.units import real_number
from seatmesh.wood.round_over import round_over_drop

PRINTED_TOLERANCE_MM = 0.05
"""How far mesh and surface may part on the print; a printer's layers are thicker."""
COARSEST_MM = 0.5


def mock_up(
    seat: Seat,
    scale: str | float,
    *,
    bed_mm: tuple[float, float, float] = (220.0, 220.0, 220.0),
    wall_mm: float = 1.2,
    clearance_mm: float = 0.2,
) -> MockUp:
    """Return a seat as parts to print.

    Where the wood under the hollow would be thinner than `wall_mm` at this scale, the underside is let down until it
    is not, and a note says by how much.

    Parameters
    ----------
    scale
        As makers write it: "1:4", "1/4", "25 %"; or a factor.
    bed_mm
        Usable width, depth and height of the printer. A larger seat is cut evenly into numbered parts with loose
        pegs across the cuts; notes say where no peg or no number has room.
    wall_mm
        Least wall that the printer holds; also round the pegs' holes.
    clearance_mm
        Gap between a peg and its hole, all round and at each end.

    Raises
    ------
    ValueRefusedError
        The scale is none, a length is out of range, or the parts would be too many or too high.
    """
    printer = Printer(bed_mm, wall_mm, clearance_mm)
    factor = factor_of(scale)
    stock, added = seat_stock(seat, factor, printer)
    notes: tuple[str, ...] = ()
    if added > 0.0:
        notes = (
            f"the underside was let down by {added:.2f} mm so that no wall is thinner than {wall_mm:g} mm",
        )
    return cut_to_bed(stock, printer, factor, notes)


def factor_of(scale: str | float) -> float:
    """Return a scale as a factor, from text or a number."""
    if isinstance(scale, str):
        return parse_scale(scale)
    factor = real_number("scale", scale)
    if not SMALLEST <= factor <= GREATEST:
        raise ValueRefusedError(
            "scale", factor, f"allowed is {SMALLEST} to {GREATEST}", "give 1.0 for full size"
        )
    return factor


def seat_stock(seat: Seat, factor: float, printer: Printer) -> tuple[Stock, float]:
    """Return the scaled seat standing on z = 0, and how far its underside was let down, mm."""
    tolerance = float(np.clip(PRINTED_TOLERANCE_MM / factor, FINEST_TOLERANCE_MM, COARSEST_MM))
    mesh = solid(seat, tolerance)
    points = mesh.vertices_mm
    thickness = seat.blank.thickness_mm
    thinnest = factor * (thickness - float(seat.depth_mm(points[:, 0], points[:, 1]).max()))
    added = max(0.0, printer.wall_mm - thinnest)
    standing = factor * (points - np.array([0.0, 0.0, points[:, 2].min()]))
    standing[standing[:, 2] > 0.0, 2] += added
    body = as_manifold(Mesh(standing, mesh.faces))
    area = footprint(body)
    shapely.prepare(area)

    def height(x: Floats, y: Floats) -> Floats:
        inside = seat.blank.inside_mm(x / factor, y / factor)
        depth = seat.depth_mm(x / factor, y / factor) + round_over_drop(inside, seat.blank.round_over_mm)
        return np.where(shapely.intersects_xy(area, x, y), added + factor * (thickness - depth), 0.0)

    def floor(x: Floats, y: Floats) -> Floats:
        rise = factor * seat.blank.underside_rise_mm(x / factor, y / factor)
        return np.where(rise > 0.0, added + rise, 0.0)

    return Stock(body, height, floor), added
