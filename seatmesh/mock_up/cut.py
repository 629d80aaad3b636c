"""Cut a body to the size of a printer's bed: parts laid flat, with loose pegs across the cuts."""

from __future__ import annotations

import math
from itertools import pairwise, product

import manifold3d as m3
import numpy as np
import shapely

from seatmesh.arrays import Floats
from seatmesh.errors import ValueRefusedError
from seatmesh.mesh import Mesh
from seatmesh.mock_up.booleans import as_mesh, footprint
from seatmesh.mock_up.cut_notes import notes_on_joints, notes_on_parts
from seatmesh.mock_up.numbering import Numbered, numbered
from seatmesh.mock_up.pegs import Peg, SawCut, pegs_for, stretches
from seatmesh.mock_up.stock import MockUp, MockUpPart, Printer, Stock

MOST_PARTS = 64
LEAST_PIECE = 1e-6
"""A piece below this share of the whole is rounding, not a part."""


def cut_to_bed(stock: Stock, printer: Printer, scale: float, notes: tuple[str, ...] = ()) -> MockUp:
    """Return a body as parts that fit the printer; one part without number or pegs where the whole fits.

    Parts are numbered row by row from the rear, each row from the sitter's left. The cuts lie evenly; where parts fit
    better turned a quarter they are. Notes say which joints have no peg, and which parts no number, for want of room.

    Raises
    ------
    ValueRefusedError
        It is higher than the printer or falls into more than `MOST_PARTS`.
    """
    low, high = (np.array(stock.body.bounding_box()[i : i + 3]) for i in (0, 3))
    counts, turned = _counts(high - low, printer)
    whole = float(stock.body.volume())
    if counts == (1, 1):
        part = _laid("part 1", None, as_mesh(stock.body, "the mock-up"), turned)
        return MockUp(scale, (part,), whole, 0.0, 0.0, notes)
    x, y = (np.linspace(low[i], high[i], counts[i] + 1) for i in (0, 1))
    cells = {
        (i, j): _slab(_slab(stock.body, 0, x[i], x[i + 1]), 1, y[j], y[j + 1])
        for j, i in product(range(counts[1]), range(counts[0]))
    }
    cuts = _cuts(footprint(stock.body), x, y)
    pegged = pegs_for(cuts, stock, _narrowest(x, y), printer)
    pegs = [peg for own in pegged for peg in own]
    holes = m3.Manifold.compose([peg.hole() for peg in pegs])
    pieces = [piece for cell in cells.values() for piece in (cell - holes).decompose()]
    pieces = [piece for piece in pieces if piece.volume() > LEAST_PIECE * whole]
    _refuse_many(len(pieces), printer)
    keep_off = max((peg.reach_mm for peg in pegs), default=0.0) + printer.clearance_mm + printer.wall_mm
    marked = [_marked(piece, n, printer, keep_off) for n, piece in enumerate(pieces, 1)]
    parts = [
        _laid(f"part {n}", n if one.taken_mm3 > 0.0 else None, as_mesh(one.body, f"part {n}"), turned)
        for n, one in enumerate(marked, 1)
    ]
    loose = sum(peg.hole().volume() - peg.bar().volume() for peg in pegs)
    panels = sum(one.taken_mm3 for one in marked)
    bare = [cut for cut, own in zip(cuts, pegged, strict=True) if not own]
    notes += (*notes_on_joints(bare, cuts, pieces), *notes_on_parts(marked))
    return MockUp(scale, (*parts, *map(_laid_peg, pegs)), whole, float(loose), panels, notes)


def _marked(piece: m3.Manifold, number: int, printer: Printer, keep_off_mm: float) -> Numbered:
    """Return a piece with its number, or as it is where there is no room for one."""
    try:
        return numbered(piece, number, printer, keep_off_mm)
    except ValueRefusedError:
        return Numbered(piece, 0.0)


def _counts(size: Floats, printer: Printer) -> tuple[tuple[int, int], bool]:
    """Return into how many columns and rows to cut, and whether the parts lie turned a quarter."""
    if size[2] > printer.bed_mm[2]:
        raise ValueRefusedError(
            "bed_mm, height",
            printer.bed_mm[2],
            f"the mock-up is {size[2]:.1f} mm high",
            "take a smaller scale or a higher printer",
        )
    bed = printer.bed_mm[:2]
    straight, across = (
        (math.ceil(size[0] / a - 1e-9), math.ceil(size[1] / b - 1e-9)) for a, b in (bed, bed[::-1])
    )
    turned = math.prod(across) < math.prod(straight)
    counts = across if turned else straight
    _refuse_many(math.prod(counts), printer)
    return counts, turned


def _refuse_many(count: int, printer: Printer) -> None:
    if count > MOST_PARTS:
        raise ValueRefusedError(
            "bed_mm",
            printer.bed_mm,
            f"the mock-up would fall into {count} parts; allowed are {MOST_PARTS}",
            "take a smaller scale or a larger bed",
        )


def _slab(body: m3.Manifold, axis: int, low: float, high: float) -> m3.Manifold:
    normal = tuple(float(i == axis) for i in range(3))
    opposite = tuple(-float(i == axis) for i in range(3))
    # The outer planes pass through the body's own sides, where there is nothing to cut.
    box = body.bounding_box()
    if low > box[axis]:
        body = body.trim_by_plane(normal, float(low))
    if high < box[axis + 3]:
        body = body.trim_by_plane(opposite, -float(high))
    return body


def _cuts(area: shapely.Geometry, x: Floats, y: Floats) -> list[SawCut]:
    across = [
        cut for at, (low, high) in product(x[1:-1], pairwise(y)) for cut in stretches(area, 0, at, low, high)
    ]
    along = [
        cut for at, (low, high) in product(y[1:-1], pairwise(x)) for cut in stretches(area, 1, at, low, high)
    ]
    return across + along


def _narrowest(x: Floats, y: Floats) -> float:
    return float(min(edges[1] - edges[0] for edges in (x, y) if len(edges) > 2))


def _laid(name: str, number: int | None, mesh: Mesh, quarter: bool) -> MockUpPart:
    """Lay a part on the bed, its flat side already down."""
    turn = np.array([[0.0, 1.0, 0.0], [-1.0, 0.0, 0.0], [0.0, 0.0, 1.0]]) if quarter else np.eye(3)
    points = mesh.vertices_mm @ turn
    corner = points.min(axis=0)
    return MockUpPart(name, number, Mesh(points - corner, mesh.faces), turn, turn @ corner)


def _laid_peg(peg: Peg) -> MockUpPart:
    return _laid("peg", None, as_mesh(peg.bar(), "a peg"), False)
