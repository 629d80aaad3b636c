"""The blank: the piece of wood before anything is carved, what must stay of it, and how deep it may be carved."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np
import shapely
from numpy.typing import ArrayLike

from seatmesh.arrays import Floats
from seatmesh.wood.deck import (
    REACH_SHARE,
    DeckLine,
    RimBand,
    ahead_of_arc,
    ahead_of_rim,
    gutter_depth,
    rear_rim,
    rim_band,
)
from seatmesh.wood.drilled import Cells
from seatmesh.wood.joint import Joint, WoodAround, greatest_depth
from seatmesh.wood.near_chain import NearChain, near_chain
from seatmesh.wood.outline.shapes import OUTLINES, mirrored, outline_polygon

GlueJoint = Literal["plain", "dowel", "loose tongue"]
BESIDE_MM = 20.0
"""How far round the outline distances to it are asked for so often that a raster pays."""

GLUE_JOINTS: tuple[GlueJoint, ...] = ("plain", "dowel", "loose tongue")


@dataclass(frozen=True)
class Blank:
    """A plank glued up for one seat; the defaults are a usual side-chair blank (common practice).

    Attributes
    ----------
    width_mm, depth_mm, thickness_mm
        Across, from the rear edge to the front edge, and from top face to underside.
    floor_mm
        Least wood left under the hollow, down to the real underside.
    deck_mm
        The flat kept for joinery at the back: from the rear edge to the deck line on the centre line; of a deck along
        the outline, how wide it is.
    outline
        Name of the plan outline, one of `seatmesh.wood.outline.shapes.OUTLINES`; without a say where there is an
        own outline.
    corner_radius_mm
        Corner radius of an outline that has corners.
    own_outline_mm
        Right half of the maker's own outline, from rear to front end of the centre line; empty without one.
    round_over_mm
        Radius of the round along the top edge; it is no part of the hollow.
    under_bevel_width_mm, under_bevel_height_mm
        Of the bevel round the underside: in from the outline, and up the edge.
    boards, glue_lines_mm
        How many boards side by side, rear to front, and where they meet if not at equal widths: x of each line.
    glue_joint, glue_joint_depth_mm, glue_joint_thickness_mm
        What the glue lines hold, how far the middle of it lies below the top face, and how thick it is.
    deck_line
        "straight", "bowed", or "offset": along the outline.
    deck_bow_mm
        How much farther forward a bowed deck line meets the blank's sides than the centre line; negative to the rear.
    deck_reach_mm
        How far forward, from the rear edge, a deck along the outline runs; None is half of the blank's depth.
    gutter_width_mm, gutter_depth_mm
        Of the gutter along the deck line; no depth is no gutter.
    joints
        Mortises and zones that keep wood.

    Examples
    --------
    >>> from seatmesh import Blank
    >>> Blank(thickness_mm=45.0, floor_mm=20.0).greatest_depth_mm
    25.0
    """

    width_mm: float = 480.0
    depth_mm: float = 430.0
    thickness_mm: float = 45.0
    floor_mm: float = 20.0
    deck_mm: float = 50.0
    outline: str = "rounded"
    corner_radius_mm: float = 60.0
    own_outline_mm: tuple[tuple[float, float], ...] = ()
    round_over_mm: float = 0.0
    under_bevel_width_mm: float = 0.0
    under_bevel_height_mm: float = 0.0
    boards: int = 1
    glue_lines_mm: tuple[float, ...] = ()
    glue_joint: GlueJoint = "plain"
    glue_joint_depth_mm: float = 0.0
    glue_joint_thickness_mm: float = 0.0
    deck_line: DeckLine = "straight"
    deck_bow_mm: float = 0.0
    deck_reach_mm: float | None = None
    gutter_width_mm: float = 8.0
    gutter_depth_mm: float = 0.0
    joints: tuple[Joint, ...] = ()

    def __post_init__(self) -> None:
        # Lists and arrays do for tuples, but have no hash.
        own = tuple((float(x), float(y)) for x, y in self.own_outline_mm)
        object.__setattr__(self, "own_outline_mm", own)
        object.__setattr__(self, "glue_lines_mm", tuple(float(x) for x in self.glue_lines_mm))
        object.__setattr__(self, "joints", tuple(self.joints))

    @property
    def greatest_depth_mm(self) -> float:
        """How deep the hollow may go where there is nothing but the floor: no bevel, no joint."""
        return self.thickness_mm - self.floor_mm

    def polygon_mm(self) -> Floats:
        """Return the plan outline, shape (n, 2), counter-clockwise seen from above, not repeated at the end."""
        if self.own_outline_mm:
            return mirrored(np.array(self.own_outline_mm))
        return outline_polygon(self.outline, self.width_mm, self.depth_mm, self.corner_radius_mm)

    def glue_lines(self) -> tuple[float, ...]:
        """Return the x of each glue line, mm, from the sitter's left to right."""
        if self.glue_lines_mm:
            return tuple(sorted(self.glue_lines_mm))
        return tuple(self.width_mm * (k / self.boards - 0.5) for k in range(1, self.boards))

    @property
    def deck_is_curved(self) -> bool:
        """Whether the deck line is no straight line across."""
        return self.deck_line == "offset" or (self.deck_line == "bowed" and self.deck_bow_mm != 0.0)

    def ahead_of_deck_mm(self, x_mm: ArrayLike, y_mm: ArrayLike) -> Floats:
        """Return how far places lie ahead of the deck line, mm; 0 or negative on the deck; arguments broadcast.

        Of a deck along the outline 30 mm stands for all that is more.
        """
        x, y = np.asarray(x_mm, dtype=float), np.asarray(y_mm, dtype=float)
        if not self.deck_is_curved:
            return np.asarray(np.broadcast_to(y - self.deck_mm, np.broadcast_shapes(x.shape, y.shape)))
        if self.deck_line == "bowed":
            return ahead_of_arc(x, y, self.deck_mm, self.deck_bow_mm, 0.5 * self.width_mm)
        return ahead_of_rim(x, y, _band(self))

    def rim_mm(self) -> Floats:
        """Return the part of the outline that a deck along it follows, shape (n, 2), from left to right."""
        return _rim(self)

    @property
    def hollow_start_mm(self) -> float:
        """The least y at which any place lies ahead of the deck line."""
        return max(0.0, self.deck_mm + min(0.0, self.deck_bow_mm if self.deck_line == "bowed" else 0.0))

    def gutter_mm(self, x_mm: ArrayLike, y_mm: ArrayLike) -> Floats:
        """Return the depth of the gutter at places, mm; arguments broadcast."""
        return self.gutter_at_mm(self.ahead_of_deck_mm(x_mm, y_mm))

    def gutter_at_mm(self, ahead_mm: Floats) -> Floats:
        """Return the depth of the gutter at distances ahead of the deck line, mm."""
        if self.gutter_depth_mm <= 0.0:
            return np.zeros(np.shape(ahead_mm))
        return gutter_depth(ahead_mm, self.gutter_width_mm, self.gutter_depth_mm)

    def inside_mm(self, x_mm: ArrayLike, y_mm: ArrayLike) -> Floats:
        """Return how far places lie inside the outline, mm, negative beyond it; arguments broadcast."""
        x, y = np.broadcast_arrays(np.asarray(x_mm, dtype=float), np.asarray(y_mm, dtype=float))
        ring, raster, whole = _ring(self)
        low, high = raster.low_mm, raster.low_mm + raster.cell_mm * raster.count
        near = (x > low[0]) & (x < high[0]) & (y > low[1]) & (y < high[1])
        distance = np.empty(x.shape)
        distance[near] = raster.distance_mm(x[near], y[near])
        distance[~near] = shapely.distance(shapely.points(x[~near], y[~near]), ring)
        return np.asarray(np.where(shapely.intersects_xy(whole, x, y), distance, -distance))

    def grid_mm(self, step_mm: float, start_mm: float = 0.0) -> tuple[Floats, Floats]:
        """Return places from edge to edge, both edges among them, evenly and at most `step_mm` apart.

        x has shape (1, nx) and is symmetric about the centre line, which it meets; y has shape (ny, 1) and runs from
        `start_mm` to the front edge.
        """
        half = int(np.ceil(0.5 * self.width_mm / step_mm))
        long = int(np.ceil((self.depth_mm - start_mm) / step_mm))
        x = 0.5 * self.width_mm * np.arange(-half, half + 1) / half
        return x[None, :], np.linspace(start_mm, self.depth_mm, long + 1)[:, None]

    def wood_under_mm(self, x_mm: ArrayLike, y_mm: ArrayLike, depth_mm: ArrayLike) -> Floats:
        """Return how much wood is left between depths below the top face and the real underside, mm."""
        depth = np.asarray(depth_mm, dtype=float)
        return np.asarray(self.thickness_mm - self.underside_rise_mm(x_mm, y_mm) - depth)

    def underside_rise_mm(self, x_mm: ArrayLike, y_mm: ArrayLike) -> Floats:
        """Return how far the under-bevel raises the underside above the blank's lower face, mm; arguments broadcast."""
        if not self.has_bevel:
            return np.zeros(np.broadcast_shapes(np.shape(x_mm), np.shape(y_mm)))
        return self.rise_at_mm(self.inside_mm(x_mm, y_mm))

    def rise_at_mm(self, inside_mm: Floats) -> Floats:
        """Return the rise of the underside at distances inside the outline, mm."""
        if not self.has_bevel:
            return np.zeros(np.shape(inside_mm))
        return np.asarray(
            self.under_bevel_height_mm * np.clip(1.0 - inside_mm / self.under_bevel_width_mm, 0.0, 1.0)
        )

    @property
    def has_bevel(self) -> bool:
        """Whether the underside is bevelled."""
        return self.under_bevel_width_mm > 0.0 and self.under_bevel_height_mm > 0.0

    @property
    def is_plain(self) -> bool:
        """Whether nothing but the floor and a straight deck line bounds the hollow."""
        return not (self.has_bevel or self.joints or self.deck_is_curved)

    def wood(self) -> WoodAround:
        """Return what joints need to know of this blank."""
        return WoodAround(
            self.thickness_mm,
            self.floor_mm,
            0.5 * self.depth_mm,
            lambda x, y: float(self.underside_rise_mm(np.array(x), np.array(y))),
        )

    def allowed_depth_mm(self, x_mm: ArrayLike, y_mm: ArrayLike) -> Floats:
        """Return how deep the surface may lie at places for the sake of floor, bevel and joints, mm; never negative.

        `x_mm` and `y_mm` broadcast. The deck is no part of it: there the depth is 0 anyway.
        """
        x, y = np.broadcast_arrays(np.asarray(x_mm, dtype=float), np.asarray(y_mm, dtype=float))
        left = self.greatest_depth_mm - self.underside_rise_mm(x, y)
        if self.joints:
            left = np.minimum(left, greatest_depth(self.joints, Cells(x, x, y, y), left, self.wood()))
        return np.asarray(np.maximum(left, 0.0))


@lru_cache(maxsize=16)
def _ring(blank: Blank) -> tuple[shapely.LinearRing, NearChain, shapely.Polygon]:
    polygon = blank.polygon_mm()
    ring, whole = shapely.LinearRing(polygon), shapely.Polygon(polygon)
    shapely.prepare(whole)
    low, high = polygon.min(axis=0) - BESIDE_MM, polygon.max(axis=0) + BESIDE_MM
    return ring, near_chain(np.vstack([polygon, polygon[:1]]), low, high), whole


@lru_cache(maxsize=16)
def _band(blank: Blank) -> RimBand:
    return rim_band(_rim(blank), blank.deck_mm)


@lru_cache(maxsize=16)
def _rim(blank: Blank) -> Floats:
    reach = REACH_SHARE * blank.depth_mm if blank.deck_reach_mm is None else blank.deck_reach_mm
    rim = rear_rim(blank.polygon_mm(), reach)
    rim.setflags(write=False)
    return rim


__all__ = ["GLUE_JOINTS", "OUTLINES", "Blank", "GlueJoint"]
