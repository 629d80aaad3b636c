"""What speaks for and against one way to lay a scan into the frame of its blank: deck, gutter, underside, joints."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import shapely

from seatmesh.arrays import Bools, Floats
from seatmesh.reading.placing import Frame
from seatmesh.reading.pose.joint_places import JointPlaces, joint_places
from seatmesh.reading.pose.layers import Layers, layers
from seatmesh.reading.pose.outline_fit import OutlineFit
from seatmesh.wood.blank import Blank

CELL_MM = 4.0
CELL_SPACINGS = 1.5
FINE_MM = 2.0
"""Points as near to one another may stop short of the edge by as much: on either side alike, it does no harm."""
EDGE_MM = 2.0
DECK_LINE_MM = 2.0
FEWEST_CELLS = 30
ROUND_BAND_MM = 6.0
"""How far from the outline a round along the edge that nobody ordered is looked for."""
FLAT_MM, FLAT_SIGMAS = 0.3, 2.0
"""A cell of the deck that lies farther off is carved: or by so many times the scatter of single points."""
ABOVE_MM = 3.0
SEEN_APART_SHARE = 0.25
"""Highest and lowest point over a place are two faces where they lie apart by this share of the thickness."""
UNDERSIDE_OFF_MM = 1.5
UNDERSIDE_EDGE_MM = 4.0
LEAST_UNDERSIDE = 0.1
HOLE_MM = 3.0
FEWEST_HOLE_CELLS = 6


@dataclass(frozen=True)
class Evidence:
    """What a scan shows in one frame. Shares are of the cells that could be looked at; None where too few could.

    Attributes
    ----------
    frame, outline
        The frame, and how the edge lies on the outline.
    scatter_mm, edge_mm
        Standard deviation of single points; how far off scatter and coarseness may show the edge.
    above
        Share of the face that stands above the rim's plane.
    deck_seen, deck_carved, deck_rms_mm
        Share of the deck that was seen; of that, share off the rim's plane; how far the deck lies off it, rms.
    rounded_mm
        How far the deck's edge falls beside the outline, by the median; None where no deck runs along it.
    gutter_missing
        Share of the gutter's middle that is not as deep as the gutter.
    underside_seen, underside_off, thickness_mm
        Share of the plan with two faces; share of those where the lower one is not where the blank's underside is,
        measured from where it mostly lies; how far below the rim that is.
    holes_found
        Share of the order's mortises and housings that the scan shows open.
    mirrored_holes_found
        The same for their mirror images at the centre line.
    """

    frame: Frame
    outline: OutlineFit
    scatter_mm: float
    edge_mm: float
    above: float
    deck_seen: float | None
    deck_carved: float | None
    deck_rms_mm: float | None
    rounded_mm: float | None
    gutter_missing: float | None
    underside_seen: float
    underside_off: float | None
    thickness_mm: float | None
    holes_found: float | None
    mirrored_holes_found: float | None


@dataclass(frozen=True)
class Plan:
    """A blank's plan, made ready for many questions.

    Attributes
    ----------
    places
        Where joints open.
    cell_mm
        Width of the cells that a scan is looked at in.
    coarse_mm
        How far short of the edge the points of a fine list may stop.
    deck_cells
        How many cells a deck seen whole fills.
    """

    blank: Blank
    places: JointPlaces
    cell_mm: float
    coarse_mm: float
    deck_cells: int

    def inside_mm(self, points: Floats) -> Floats:
        """Return how far points lie inside the outline."""
        return self.blank.inside_mm(points[:, 0], points[:, 1])

    def ahead_mm(self, points: Floats) -> Floats:
        """Return how far points lie ahead of the deck line."""
        return self.blank.ahead_of_deck_mm(points[:, 0], points[:, 1])

    @staticmethod
    def of(blank: Blank, spacing_mm: float = 0.0) -> Plan:
        """Return the plan of a blank, looked at in cells that points at a usual distance leave none of empty."""
        places = joint_places(blank)
        cell = max(CELL_MM, CELL_SPACINGS * spacing_mm)
        coarse = spacing_mm if spacing_mm <= FINE_MM else 0.0
        left, rear, right, front = shapely.Polygon(blank.polygon_mm()).bounds
        x, y = np.meshgrid(
            np.arange(left + 0.5 * cell, right, cell), np.arange(rear + 0.5 * cell, front, cell)
        )
        points = np.column_stack([x.ravel(), y.ravel()])
        empty = Plan(blank, places, cell, coarse, 0)
        return Plan(blank, places, cell, coarse, int(np.count_nonzero(empty.on_deck(points))))

    def on_deck(self, points: Floats) -> Bools:
        """Tell which points lie on the deck, clear of its line, of the edge and of joints."""
        x, y = points[:, 0], points[:, 1]
        own = self.ahead_mm(points) < -DECK_LINE_MM
        own &= self.inside_mm(points) > self.blank.round_over_mm + max(EDGE_MM, 0.5 * self.cell_mm)
        own &= ~shapely.intersects_xy(self.places.above, x, y)
        return np.asarray(own)


def evidence(samples: Floats, frame: Frame, outline: OutlineFit, scatter_mm: float, plan: Plan) -> Evidence:
    """Return what points all over a scan, shape (n, 3), show in a frame."""
    local = frame.into(samples)
    # What lies deeper than the wood is a table, or the floor.
    wood = (local[:, 2] > -1.6 * plan.blank.thickness_mm) & (local[:, 2] < 1.6 * plan.blank.thickness_mm)
    seen = layers(local[wood], plan.cell_mm)
    inside = plan.inside_mm(seen.top)
    face = inside > plan.blank.round_over_mm + EDGE_MM
    off_mm = max(FLAT_MM, FLAT_SIGMAS * scatter_mm)
    deck = seen.top[plan.on_deck(seen.top), 2]
    has_deck = plan.deck_cells >= FEWEST_CELLS
    below = _underside(seen, plan, off_mm)
    enough = has_deck and len(deck) >= FEWEST_CELLS
    return Evidence(
        frame=frame,
        outline=outline,
        scatter_mm=scatter_mm,
        edge_mm=scatter_mm + 0.5 * plan.coarse_mm,
        above=float(np.mean(seen.top[face, 2] > ABOVE_MM)) if face.any() else 0.0,
        deck_seen=float(min(1.0, len(deck) / plan.deck_cells)) if has_deck else None,
        deck_carved=float(np.mean(np.abs(deck) > off_mm)) if enough else None,
        deck_rms_mm=float(np.sqrt(np.mean(np.clip(deck, -5.0, 5.0) ** 2))) if enough else None,
        rounded_mm=_rounded(local[wood], plan) if enough else None,
        gutter_missing=_gutter_missing(local[wood], plan, off_mm),
        underside_seen=below.seen,
        underside_off=below.off,
        thickness_mm=below.thickness_mm,
        holes_found=_found(local[wood], plan, 1.0),
        mirrored_holes_found=_found(local[wood], plan, -1.0),
    )


def _rounded(local: Floats, plan: Plan) -> float | None:
    """Return how far the top face falls beside the outline along the deck, where it should be level."""
    near = (local[:, 2] > -10.0) & (plan.ahead_mm(local) < -DECK_LINE_MM)
    points = layers(local[near], 2.0).top
    if len(points) == 0:
        return None
    inside = plan.inside_mm(points) - plan.blank.round_over_mm
    own = (inside > EDGE_MM) & (inside < EDGE_MM + 1.5)
    own &= ~shapely.intersects_xy(plan.places.above, points[:, 0], points[:, 1])
    return -float(np.median(points[own, 2])) if np.count_nonzero(own) >= FEWEST_CELLS else None


def _gutter_missing(local: Floats, plan: Plan, off_mm: float) -> float | None:
    blank = plan.blank
    if blank.gutter_depth_mm <= 0.0:
        return None
    middle = np.abs(plan.ahead_mm(local) - 0.5 * blank.gutter_width_mm) < 0.2 * blank.gutter_width_mm
    points = layers(local[middle], plan.cell_mm).top
    points = points[plan.inside_mm(points) > blank.round_over_mm + EDGE_MM]
    if len(points) < FEWEST_CELLS:
        return None
    short = points[:, 2] + blank.gutter_at_mm(plan.ahead_mm(points))
    return float(np.mean(short > off_mm + 0.2))


class _Below(NamedTuple):
    seen: float
    off: float | None
    thickness_mm: float | None


def _underside(seen: Layers, plan: Plan, off_mm: float) -> _Below:
    blank = plan.blank
    inside = plan.inside_mm(seen.under)
    own = inside > UNDERSIDE_EDGE_MM
    two = own & (seen.apart_mm > SEEN_APART_SHARE * blank.thickness_mm)
    clear = two & ~shapely.intersects_xy(plan.places.below, seen.under[:, 0], seen.under[:, 1])
    share = float(np.mean(two[own])) if own.any() else 0.0
    if np.count_nonzero(clear) < FEWEST_CELLS or share < LEAST_UNDERSIDE:
        return _Below(share, None, None)
    rise = blank.rise_at_mm(inside[clear])
    level = seen.under[clear, 2] - rise
    flat = rise == 0.0 if np.count_nonzero(rise == 0.0) >= FEWEST_CELLS else np.ones(len(rise), dtype=bool)
    thickness = -float(np.median(level[flat]))
    off = float(np.mean(np.abs(level + thickness) > max(UNDERSIDE_OFF_MM, off_mm)))
    return _Below(share, off, thickness)


def _found(local: Floats, plan: Plan, side: float) -> float | None:
    """Return the share of cells over mortises that are open there, mirrored where `side` is -1."""
    blank, found = plan.blank, []
    places = local * [side, 1.0, 1.0]
    for area, above in ((plan.places.open_above, True), (plan.places.open_below, False)):
        own = local[shapely.intersects_xy(area, places[:, 0], places[:, 1])]
        if above:
            own = own[plan.ahead_mm(own) < 0.0]
            found.append(layers(own, plan.cell_mm).top[:, 2] < -HOLE_MM)
        else:
            faces = layers(own, plan.cell_mm)
            two = faces.apart_mm > 0.0
            level = blank.rise_at_mm(plan.inside_mm(faces.under)) - blank.thickness_mm
            found.append((faces.under[:, 2] > level + HOLE_MM)[two])
    open_ = np.concatenate(found)
    return float(np.mean(open_)) if len(open_) >= FEWEST_HOLE_CELLS else None
