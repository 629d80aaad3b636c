"""The carved top face in triangles, as fine as a tolerance asks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import shapely

from seatmesh.arrays import Bools, Floats, Ints
from seatmesh.errors import NotSolvedError
from seatmesh.solids.deck_step import with_step
from seatmesh.solids.gutter_face import gutter_excess, gutter_points
from seatmesh.solids.plan.chains import Chains, chains_of
from seatmesh.solids.plan.feature_lines import feature_lines
from seatmesh.solids.plan.gutter_sheet import gutter_sheet, upright_lip_mm
from seatmesh.solids.plan.hollows_edge import edge_levels, is_even, traced
from seatmesh.solids.plan.kept_lines import kept_lines
from seatmesh.solids.plan.plan_mesh import half_ring, inner_points
from seatmesh.solids.plan.refine import Filled, refined
from seatmesh.solids.plan.triangulate import edges_of, plan_area, rooms
from seatmesh.solids.plan.two_sheets import Joined, TwoSheets, two_sheets
from seatmesh.surface import Seat
from seatmesh.wood.deck_line import CHORD_MM

Area: TypeAlias = "shapely.Geometry | None"

FIRST_SPACING_MM = 12.0
"""Triangles to begin with: no longer than a span of the hollow's spline, so that no wave hides inside one."""

SAMPLED_SHARE = 0.75
"""Sampled distances are held to this share of the tolerance, since the greatest one falls between samples:
where the hollow's edge crosses a triangle it was up to 1.3 times the sampled one."""

FLAT_SPACING_MM = 30.0
"""The same where there is no hollow."""

LEAST_OFF_MM, OFF_SHARE = 0.008, 0.03
"""How far chords of a feature line may lie off it, at least and in shares of the tolerance."""

STEEP = 1.0
"""A slope of up to 60 degrees, that of the front roll, is one part up and no more than this many parts over: to it
distances count straight up, beyond it more and more square to the facet."""

LEAST_STEP_SHARE = 0.2
"""A step at the deck line that is no higher, in shares of the tolerance, is left out."""

ON_LIP_MM = 0.01
"""More than chords of a gutter's lips lie off them."""

BY_LIP_MM = 0.1
GRID_MM = 1.5
"""Of places in a gutter at which it is asked whether the gutter or the hollow is the deeper."""

LEAST_TURNING_EDGE_MM = 2.0
"""Shorter edges are asked for no more direction: across a step or a corner that no edge keeps none is ever right."""

SLOPE_STEP_MM = 1e-3
MOST_FACETS = 1_000_000
"""Facets on the right half at which refinement ends without an answer."""

_LATTICE = [(i, j, 4 - i - j) for i in range(5) for j in range(5 - i) if max(i, j, 4 - i - j) < 4]
_SAMPLES = np.array(_LATTICE) / 4.0
"""Twelve points of a triangle by their shares of its corners: three on each edge and three inside."""

_INNER = _SAMPLES[(_SAMPLES > 0.0).all(axis=1)]


@dataclass(frozen=True)
class TopFace:
    """The right half of the top face inside a half ring, the height of its mirror image on the left beside its own.

    Attributes
    ----------
    vertices, faces
        Shape (n, 4): x, y, z on the right, z on the left, mm; shape (m, 3), counter-clockwise seen from above.
    same
        Shape (n, 2): which vertex each is on the right and on the left: itself, or one that it is to be drawn to there.
    """

    vertices: Floats
    faces: Ints
    same: Ints


def top_face(seat: Seat, right_ring_mm: Floats, tolerance_mm: float, angle_rad: float) -> TopFace:
    """Return the right half of the top face inside a half ring, all points of which it keeps.

    The plan is made once for both sides: it is as fine as either side asks. Each vertex lies on the surface. Surface
    and triangles part by `tolerance_mm` at most, by sampling, and by `angle_rad` in direction where edges are longer
    than `LEAST_TURNING_EDGE_MM`. Deck line, lips of a gutter, start of the roll and the hollow's edge are edges.

    Raises
    ------
    NotSolvedError
        The tolerance was not reached within the limits of refinement.
    """
    ring, lines = half_ring(right_ring_mm, feature_lines(seat, right_ring_mm))
    deck = _deck(seat, ring, lines)
    kept = _kept(seat, ring, lines, deck, tolerance_mm)
    two = _two_sheets(seat, ring, kept)
    plan = None
    if two is not None:
        try:
            plan = two.joined(_filled(seat, ring, two.chains, deck, two, tolerance_mm, angle_rad))
        except NotSolvedError:
            plan = None
    if plan is None or not plan.covers(shapely.Polygon(ring)):
        # In the plan all gutters can be meshed, with many more triangles.
        chains = chains_of(kept, FIRST_SPACING_MM)
        plan = _plain(_filled(seat, ring, chains, deck, None, tolerance_mm, angle_rad))
    return _closed_steps(seat, plan, _on_deck(deck, plan), LEAST_STEP_SHARE * tolerance_mm)


def _filled(
    seat: Seat,
    ring: Floats,
    chains: Chains,
    deck: Area,
    two: TwoSheets | None,
    tolerance_mm: float,
    angle_rad: float,
) -> Filled:
    """Return the triangles of the plan, or of both sheets."""
    limit, even = SAMPLED_SHARE * tolerance_mm, is_even(seat)
    # Chords of a curved lip lie off it, and its points with them.
    in_gutter = max(limit - CHORD_MM, 0.5 * limit) if seat.blank.deck_is_curved else limit
    limits = in_gutter, angle_rad, LEAST_TURNING_EDGE_MM

    def asked(at: Floats, of: Ints) -> Floats:
        """How many times over a face misses what is asked of it; the deck is flat."""
        out, carved = np.zeros(len(of)), ~_within(deck, at, of)
        if two is not None:
            rolled = two.sheet.holds(at)[of]
            carved &= ~rolled.any(axis=1)
            flat = rolled.all(axis=1)
            out[flat] = gutter_excess(seat, two.sheet, at, of[flat], _SAMPLES, limits, 1 if even else 2)
        own = of[carved]
        used, numbers = np.unique(own, return_inverse=True)
        points = _raised(seat, at[used], even)
        own = numbers.reshape(own.shape)
        out[carved] = np.maximum(_distance(seat, points, own) / limit, _turn(seat, points, own) / angle_rad)
        return out

    region, gutter = (shapely.Polygon(ring), None) if two is None else (two.region, two.gutter)
    inner = inner_points(ring, chains, FIRST_SPACING_MM if seat.hollow is not None else FLAT_SPACING_MM)
    inner = inner[~_inside(deck, inner) & ~_inside(gutter, inner)]
    filled, worst = refined(chains, region, inner, asked, most_facets=MOST_FACETS)
    if worst > 1.0:
        raise NotSolvedError(
            f"the mesh was still {worst * limit:.3g} mm off the surface with {2 * len(filled.faces)} facets on top; "
            "give a coarser tolerance."
        )
    return filled


def _two_sheets(seat: Seat, ring: Floats, kept: Sequence[tuple[Floats, Ints]]) -> TwoSheets | None:
    """Return the kept lines on plan and gutter's sheet; None where no gutter is seen."""
    sheet = gutter_sheet(seat.blank)
    if sheet is None:
        return None

    low, high = ring.min(axis=0), ring.max(axis=0)
    x, y = (one.ravel() for one in np.meshgrid(*(np.arange(low[i], high[i], GRID_MM) for i in (0, 1))))
    ahead = seat.blank.ahead_of_deck_mm(x, y)
    inside = (ahead > 0.0) & (ahead < seat.blank.gutter_width_mm)
    x, y, ahead = x[inside], y[inside], ahead[inside]
    seen = [seat.carved_at_mm(s * x, y, ahead) > seat.carved_at_mm(s * x, y, None) for s in (1.0, -1.0)]
    places = np.column_stack([x, y])
    return two_sheets(kept, ring, sheet, places, seen[0] | seen[1], FIRST_SPACING_MM)


def _plain(filled: Filled) -> Joined:
    ahead, none = np.full(len(filled.points), np.nan), np.zeros(len(filled.faces), dtype=bool)
    return Joined(filled.points, ahead, filled.faces, filled.edges, none)


def _closed_steps(seat: Seat, plan: Joined, on_deck: Bools, least_mm: float) -> TopFace:
    """Set the deck on the blank's top face; close the steps at its line and at a gutter's lip where there are any."""
    gutter = plan.in_gutter
    vertices, below = _raised(seat, plan.points, False), _raised(seat, plan.points, False)
    inside = np.isfinite(plan.ahead)
    vertices[inside] = below[inside] = gutter_points(seat, plan.points[inside], plan.ahead[inside], 2)
    # On the lips of what lies in the gutter: how far they lie ahead is known to be all or nothing.
    lips = np.setdiff1d(np.unique(plan.faces[gutter]), np.flatnonzero(inside))
    width = seat.blank.gutter_width_mm

    def foot(at: Ints, where: Floats) -> Floats:
        out = np.asarray(_heights(seat, where[:, 0], where[:, 1]))
        lip = np.isin(at, lips)
        near = seat.blank.ahead_of_deck_mm(*where[lip].T) < 0.5 * width
        out[lip] = gutter_points(seat, where[lip], np.where(near, 0.0, width), 2)[:, 2:]
        return out

    vertices[np.unique(plan.faces[on_deck]), 2:] = 0.0
    faces = plan.faces
    vertices, faces, strip, same = with_step(vertices, faces, on_deck, foot, least_mm)
    if gutter.any() and upright_lip_mm(seat.blank) > least_mm:
        rest = np.append(~on_deck & ~gutter, np.zeros(len(strip), dtype=bool))
        count = len(plan.points)

        def lower(at: Ints, where: Floats) -> Floats:
            out = vertices[at, 2:].copy()
            own = (at < count) & np.isin(at, lips)
            out[own] = foot(at[own], where[own])
            return out

        vertices, faces, _, later = with_step(vertices, faces, rest, lower, least_mm)
        more = later[len(same) :]
        same = np.vstack(
            [same, np.column_stack([np.append(same[:, i], more[:, i])[more[:, i]] for i in (0, 1)])]
        )
    return TopFace(vertices, faces, same)


def _kept(
    seat: Seat, ring: Floats, lines: Sequence[Floats], deck: Area, tolerance_mm: float
) -> list[tuple[Floats, Ints]]:
    """Return all lines of the plan, those along which the hollow begins among them."""
    low, high = ring.min(axis=0), ring.max(axis=0)
    edges = [edge for level in edge_levels(seat) for edge in traced(level, low, high)]

    def carved(at: Floats) -> bool:
        return not bool(_inside(deck, at[None])[0])

    return kept_lines(ring, lines, edges, carved, max(LEAST_OFF_MM, OFF_SHARE * tolerance_mm))


def _raised(seat: Seat, plan: Floats, even: bool) -> Floats:
    """Return points of the plan with their heights: on the right alone where both sides are alike."""
    return np.column_stack([plan, _heights(seat, plan[:, 0], plan[:, 1], 1 if even else 2)])


def _deck(seat: Seat, ring: Floats, lines: Sequence[Floats]) -> Area:
    """Return the part of the plan that lies behind the deck line, None where there is none."""
    if not lines:
        return None
    closed = shapely.LineString(np.vstack([ring, ring[:1]]))
    kept = shapely.union_all([closed, *map(shapely.LineString, lines)])
    pieces = shapely.get_parts(shapely.polygonize(shapely.get_parts(kept)))
    if len(pieces) == 0:
        return None
    at = shapely.get_coordinates(shapely.point_on_surface(pieces))
    behind = pieces[seat.blank.ahead_of_deck_mm(*at.T) <= 0.0]
    if len(behind) == 0:
        return None
    deck: Area = shapely.union_all(behind)
    shapely.prepare(deck)
    return deck


def _within(deck: Area, points: Floats, faces: Ints) -> Bools:
    """Tell which faces lie on the deck, by their middles."""
    return _inside(deck, points[faces, :2].mean(axis=1))


def _inside(area: Area, at: Floats) -> Bools:
    """Tell which places, shape (n, 2), lie in an area."""
    if area is None:
        return np.zeros(len(at), dtype=bool)
    return np.asarray(shapely.contains_xy(area, at[:, 0], at[:, 1]))


def _on_deck(deck: Area, plan: Joined) -> Bools:
    """Tell which faces lie on the deck: of all that no chain parts from one another the largest decides."""
    if deck is None:
        return np.zeros(len(plan.faces), dtype=bool)
    room = rooms(plan.faces, plan.edges)
    largest = np.lexsort((plan_area(plan.points, plan.faces), room))
    last = largest[np.append(np.diff(room[largest]) != 0, True)]
    return np.asarray(_within(deck, plan.points, plan.faces[last])[room])


def _heights(seat: Seat, x: Floats, y: Floats, sides: int = 2) -> Floats:
    """Return z ahead of the deck line at (x, y) and at its mirror image (-x, y), in a last axis; or the first alone.

    Close to its lips a gutter is taken to be narrower by up to `ON_LIP_MM`: places on its lip lie beside it, whatever
    rounding says.
    """
    blank = seat.blank
    if blank.gutter_depth_mm <= 0.0:
        return -np.stack([seat.carved_depth_mm(sign * x, y) for sign in (1.0, -1.0)[:sides]], axis=-1)
    half = 0.5 * blank.gutter_width_mm
    off = blank.ahead_of_deck_mm(x, y) - half
    off += np.copysign(ON_LIP_MM * np.clip(1.0 - (half - np.abs(off)) / BY_LIP_MM, 0.0, 1.0), off)
    return -np.stack([seat.carved_at_mm(sign * x, y, off + half) for sign in (1.0, -1.0)[:sides]], axis=-1)


def _turn(seat: Seat, vertices: Floats, faces: Ints) -> Floats:
    """Return the angle between surface and triangle at three samples inside it, on both sides the greater, shape (m,).

    Zero for a triangle without an edge longer than `LEAST_TURNING_EDGE_MM`.
    """
    turn, sides = np.zeros(len(faces)), vertices.shape[1] - 2
    ends = vertices[edges_of(faces), :2]
    longest = np.sqrt(((ends[:, :, 0] - ends[:, :, 1]) ** 2).sum(axis=-1)).max(axis=1)
    long = np.flatnonzero(longest > LEAST_TURNING_EDGE_MM)
    corner = vertices[faces[long]]
    x_slope, y_slope = _slopes(corner)
    for share in _INNER:
        x, y = np.einsum("i,mij->jm", share, corner[..., :2])
        ahead, behind = (
            _heights(seat, x + SLOPE_STEP_MM, y, sides),
            _heights(seat, x - SLOPE_STEP_MM, y, sides),
        )
        x_rise = (ahead - behind) / (2.0 * SLOPE_STEP_MM)
        ahead, behind = (
            _heights(seat, x, y + SLOPE_STEP_MM, sides),
            _heights(seat, x, y - SLOPE_STEP_MM, sides),
        )
        y_rise = (ahead - behind) / (2.0 * SLOPE_STEP_MM)
        dot = 1.0 + x_slope * x_rise + y_slope * y_rise
        size = np.sqrt((1.0 + x_slope**2 + y_slope**2) * (1.0 + x_rise**2 + y_rise**2))
        turn[long] = np.maximum(turn[long], np.arccos(np.clip(dot / size, -1.0, 1.0)).max(axis=1))
    return turn


def _slopes(corner: Floats) -> tuple[Floats, Floats]:
    """Return how triangles, shape (m, 3, 4), rise along x and along y, on the right and on the left, shapes (m, 2)."""
    along, across = corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0]
    area = (along[:, 0] * across[:, 1] - along[:, 1] * across[:, 0])[:, None]
    x_slope = (along[:, 2:] * across[:, 1:2] - across[:, 2:] * along[:, 1:2]) / area
    y_slope = (across[:, 2:] * along[:, :1] - along[:, 2:] * across[:, :1]) / area
    return x_slope, y_slope


def _distance(seat: Seat, vertices: Floats, faces: Ints) -> Floats:
    """Return how far mesh and surface part at each triangle's samples, both sides, shape (m,).

    Straight up, and in a gutter's steep side, where that is much less, rather square to the triangle. Beside a steep
    wall even that is too much; but no farther off in plan than its longest edge a triangle passes the height of the
    surface, or comes as near to it as its heights reach.
    """
    corner = vertices[faces]
    at = np.einsum("ki,mij->mkj", _SAMPLES, corner)
    height = _heights(seat, at[..., 0], at[..., 1], vertices.shape[1] - 2)
    x_slope, y_slope = _slopes(corner)
    steep = np.maximum(1.0, np.sqrt(1.0 + x_slope**2 + y_slope**2) - STEEP)
    square = np.abs(height - at[..., 2:]) / steep[:, None]
    low, high = corner[:, None, :, 2:].min(axis=2), corner[:, None, :, 2:].max(axis=2)
    beyond = np.maximum(np.maximum(low - height, height - high), 0.0)
    ends = vertices[edges_of(faces), :2]
    longest = np.sqrt(((ends[:, :, 0] - ends[:, :, 1]) ** 2).sum(axis=-1)).max(axis=1)
    return np.asarray(np.minimum(square, beyond + longest[:, None, None]).max(axis=(1, 2)))
