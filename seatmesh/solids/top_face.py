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
from seatmesh.solids.facet_fit import (
    LEAST_TURNING_EDGE_MM,
    SAMPLED_SHARE,
    SAMPLES,
    heights,
    parted_mm,
    turned_rad,
)
from seatmesh.solids.gutter_face import gutter_excess, gutter_points
from seatmesh.solids.plan.chains import Chains, chains_of
from seatmesh.solids.plan.feature_lines import feature_lines
from seatmesh.solids.plan.gutter_sheet import gutter_sheet, upright_lip_mm
from seatmesh.solids.plan.hollows_edge import edge_levels, is_even, traced
from seatmesh.solids.plan.kept_lines import kept_lines
from seatmesh.solids.plan.plan_mesh import half_ring, inner_points
from seatmesh.solids.plan.refine import Filled, refined
from seatmesh.solids.plan.triangulate import plan_area, rooms
from seatmesh.solids.plan.two_sheets import Joined, TwoSheets, two_sheets
from seatmesh.surface import Seat
from seatmesh.wood.deck_line import CHORD_MM

Area: TypeAlias = "shapely.Geometry | None"

FIRST_SPACING_MM = 12.0
"""Triangles to begin with: no longer than a span of the hollow's spline, so that no wave hides inside one."""

FLAT_SPACING_MM = 30.0
"""The same where there is no hollow."""

LEAST_OFF_MM, OFF_SHARE = 0.008, 0.03
"""How far chords of a feature line may lie off it, at least and in shares of the tolerance."""

LEAST_STEP_SHARE = 0.2
"""A step at the deck line that is no higher, in shares of the tolerance, is left out."""

GRID_MM = 1.5
"""Of places in a gutter at which it is asked whether the gutter or the hollow is the deeper."""

MOST_FACETS = 1_000_000
"""Facets on the right half at which refinement ends without an answer."""


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
            out[flat] = gutter_excess(seat, two.sheet, at, of[flat], SAMPLES, limits, 1 if even else 2)
        own = of[carved]
        used, numbers = np.unique(own, return_inverse=True)
        points = _raised(seat, at[used], even)
        own = numbers.reshape(own.shape)
        out[carved] = np.maximum(
            parted_mm(seat, points, own) / limit, turned_rad(seat, points, own) / angle_rad
        )
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
        out = np.asarray(heights(seat, where[:, 0], where[:, 1]))
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
    return np.column_stack([plan, heights(seat, plan[:, 0], plan[:, 1], 1 if even else 2)])


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
