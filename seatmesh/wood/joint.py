"""Joints: mortises and housings in the blank, and the wood that must stay under and around each."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from math import cos, isfinite, radians, sin, tan
from typing import Literal, NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from seatmesh.arrays import Floats
from seatmesh.errors import MissingKeyError, ValueRefusedError
from seatmesh.place_words import place
from seatmesh.units import shown
from seatmesh.wood.drilled import Cells, Cylinder, least_size, turned

Kind = Literal["leg mortise", "back post", "spindle", "circle", "bar", "polygon"]
KINDS: tuple[Kind, ...] = ("leg mortise", "back post", "spindle", "circle", "bar", "polygon")
ROUND: tuple[Kind, ...] = ("leg mortise", "back post", "spindle", "circle")
FROM_ABOVE: tuple[Kind, ...] = ("back post", "spindle")
MORTISES: tuple[Kind, ...] = ("leg mortise", *FROM_ABOVE)
NEEDS: Mapping[Kind, tuple[str, ...]] = {
    **dict.fromkeys(ROUND, ("diameter_mm",)),
    "bar": ("length_mm", "width_mm"),
    "polygon": ("points_mm",),
}
"""Sizes that a joint of each kind needs."""
Side = Literal["one", "both"]
SIDES: tuple[Side, ...] = ("one", "both")
MOST_LEAN_DEG = 45.0
LONG_MM = 1_000.0


@dataclass(frozen=True)
class Joint:
    """A mortise, or a zone that is housed out from below, and how much wood must stay.

    Attributes
    ----------
    kind
        "leg mortise" is drilled from the underside, "back post" and "spindle" from the top face; "circle", "bar" and
        "polygon" are zones of the plan that keep more wood under the hollow.
    x_mm, y_mm
        Where the axis meets the face that it is drilled from, or the zone's middle.
    diameter_mm
        Of a round joint.
    angle_deg
        How far the part leans from upright.
    sight_line_deg
        Direction in the plan, seen from above, in which the part leans away from the seat: 0 forward, 90 to the
        sitter's right, 180 to the rear. None: a leg's foot leans away from the middle of the seat, a post's or
        spindle's head to the rear.
    depth_mm
        Of the mortise along its axis, or of the housing from below; None is a mortise through and through, or a zone
        without a housing.
    keep_mm
        Wood that must stay between the hollow and a blind mortise's end, or a housing; round a leg mortise that goes
        through, the thickness of the seat. None is the blank's floor.
    around_mm
        Wood that must stay between the hollow and the joint's sides.
    length_mm, width_mm, turn_deg
        Of a bar: along it, across it, and how far it is turned from across the seat, counter-clockwise from above.
    points_mm
        Corners of a polygon.
    side
        "both" has a mirror image at the centre line, "one" has not.

    Raises
    ------
    ValueRefusedError, MissingKeyError
        A number is not finite or out of range, or a kind lacks what it needs.

    Examples
    --------
    >>> from seatmesh import Blank, Joint
    >>> leg = Joint("leg mortise", 150.0, 330.0, diameter_mm=28.0, depth_mm=30.0, keep_mm=12.0, side="both")
    >>> blank = Blank(thickness_mm=45.0, floor_mm=10.0, joints=(leg,))
    >>> bool(blank.allowed_depth_mm(150.0, 330.0) < blank.allowed_depth_mm(0.0, 200.0))
    True
    """

    kind: Kind
    x_mm: float = 0.0
    y_mm: float = 0.0
    diameter_mm: float = 0.0
    angle_deg: float = 0.0
    sight_line_deg: float | None = None
    depth_mm: float | None = None
    keep_mm: float | None = None
    around_mm: float = 10.0
    length_mm: float = 0.0
    width_mm: float = 0.0
    turn_deg: float = 0.0
    points_mm: tuple[tuple[float, float], ...] = ()
    side: Side = "both"

    def __post_init__(self) -> None:
        for name in (
            "x_mm",
            "y_mm",
            "diameter_mm",
            "angle_deg",
            "around_mm",
            "length_mm",
            "width_mm",
            "turn_deg",
        ):
            if not isfinite(getattr(self, name)):
                raise ValueRefusedError(
                    f"joint {name}", shown(getattr(self, name)), "a finite number", "give one"
                )
        for name in NEEDS[self.kind]:
            if not getattr(self, name):
                raise MissingKeyError(name, f"joint '{self.kind}'", "say how large it is")
        if not 0.0 <= self.angle_deg <= MOST_LEAN_DEG:
            raise ValueRefusedError(
                "joint angle_deg",
                shown(self.angle_deg),
                f"allowed are 0 to {MOST_LEAN_DEG:g} deg from upright",
                "state the direction by sight_line_deg",
            )
        if self.kind == "polygon" and not shapely.Polygon(_three(self.points_mm)).is_valid:
            raise ValueRefusedError(
                "joint points_mm",
                "corners whose sides cross",
                "a simple polygon",
                "put them in order round it",
            )

    @property
    def at_mm(self) -> tuple[float, float]:
        """Where it is: its middle or where its axis meets the face."""
        if self.kind != "polygon":
            return self.x_mm, self.y_mm
        middle = shapely.Polygon(_three(self.points_mm)).centroid
        return float(middle.x), float(middle.y)

    @property
    def label(self) -> str:
        """Return kind and place by the keys of an order, as a refusal names them."""
        x, y = self.at_mm
        return f"'{self.kind}' at x_mm {x + 0.0:g}, y_mm {y + 0.0:g}"

    def said(self, units: str) -> str:
        """Return kind and place in words, as a report names them."""
        return f"{self.kind}, {place(*self.at_mm, units, self.side)}"

    def lean(self, middle_y_mm: float) -> tuple[float, float]:
        """Return the direction (x, y) in the plan in which the part leans away from the seat, length 1."""
        if self.sight_line_deg is not None:
            turn = radians(self.sight_line_deg)
            return sin(turn), cos(turn)
        if self.kind in FROM_ABOVE:
            return 0.0, -1.0
        across, along = self.x_mm, self.y_mm - middle_y_mm
        length = float(np.hypot(across, along))
        return (across / length, along / length) if length > 0.0 else (0.0, 1.0)

    def short_of_mm(self, wood: WoodAround) -> float:
        """Return by how much the uncut blank falls short of the wood that must stay over a joint; 0 if it does not."""
        keep = wood.floor_mm if self.keep_mm is None else self.keep_mm
        if self.kind in FROM_ABOVE:
            return 0.0
        is_blind = self.kind == "leg mortise" and self.depth_mm is not None
        along = (wood.thickness_mm - wood.rise_at(*self.at_mm)) / (
            cos(radians(self.angle_deg)) if is_blind else 1.0
        )
        return max((self.depth_mm or 0.0) + keep - along, 0.0)

    def greatest_depth(self, cells: Cells, left_mm: Floats, wood: WoodAround) -> Floats:
        """Return a depth that the hollow may have all over each cell for this joint's sake; infinite away from it.

        Over single places it is the exact bound, over wider cells never more than the least bound in them. `left_mm`
        is how much deeper than nothing the blank alone allows, `wood` what it is measured from.
        """
        own = self._one_side(cells, left_mm, wood)
        if self.side == "both":
            own = np.minimum(own, self._one_side(cells.mirrored(), left_mm, wood))
        return own

    def _one_side(self, cells: Cells, left: Floats, wood: WoodAround) -> Floats:
        keep = wood.floor_mm if self.keep_mm is None else self.keep_mm
        if self.kind in FROM_ABOVE or (self.kind == "leg mortise" and self.depth_mm is not None):
            return self._round_mortise(cells, keep, wood)
        # A zone: the blank's own bound with another floor, less what is housed out from below.
        housing = 0.0 if self.kind == "leg mortise" else self.depth_mm or 0.0
        allowed = left + wood.floor_mm - keep - housing
        return np.asarray(np.where(self._zone_touches(cells, wood), allowed, np.inf))

    def _zone_touches(self, cells: Cells, wood: WoodAround) -> NDArray[np.bool_]:
        """Tell which cells come within `around_mm` of the zone; never misses one."""
        if self.kind == "polygon":
            return _near_polygon(cells, self.points_mm, self.around_mm)
        if self.kind == "bar":
            turn = radians(self.turn_deg)
            u, v = turned(cells, (self.x_mm, self.y_mm), (cos(turn), sin(turn)))
            along, across = 0.5 * self.length_mm + self.around_mm, 0.5 * self.width_mm + self.around_mm
            return (u[0] <= along) & (u[1] >= -along) & (v[0] <= across) & (v[1] >= -across)
        reach = 0.5 * self.diameter_mm + self.around_mm
        # A leaning mortise passes over a strip of the plan on its way up.
        shift = wood.thickness_mm * tan(radians(self.angle_deg)) if self.kind == "leg mortise" else 0.0
        u, v = turned(cells, (self.x_mm, self.y_mm), self._up(wood))
        beside = np.maximum(np.maximum(u[0] - shift, -u[1]), 0.0)
        return np.asarray(np.hypot(beside, least_size(v)) <= reach)

    def _up(self, wood: WoodAround) -> tuple[float, float]:
        """Return the direction in the plan in which the axis runs as it rises."""
        x, y = self.lean(wood.middle_y_mm)
        return (x, y) if self.kind in FROM_ABOVE else (-x, -y)

    def _round_mortise(self, cells: Cells, keep: float, wood: WoodAround) -> Floats:
        """Keep the hollow out of the drilled cylinder, widened by `around_mm` and lengthened by what must stay."""
        angle, up = radians(self.angle_deg), self._up(wood)
        # At either end of the hole it starts `around_mm` before it, so that its rim is kept too.
        if self.kind in FROM_ABOVE:
            length = self.depth_mm if self.depth_mm is not None else 2.0 * wood.thickness_mm
            low, back, run = 0.0, length + self.around_mm, length + LONG_MM
        else:
            low = -wood.thickness_mm + wood.rise_at(self.x_mm, self.y_mm)
            back, run = self.around_mm, self.around_mm + (self.depth_mm or 0.0) + keep
        sideways = back * sin(angle)
        foot = (self.x_mm - sideways * up[0], self.y_mm - sideways * up[1], low - back * cos(angle))
        cylinder = Cylinder(foot, up, angle, run)
        top = cylinder.highest(cells, 0.5 * self.diameter_mm + self.around_mm)
        return np.asarray(np.where(top > -np.inf, np.maximum(-top, 0.0), np.inf))


class WoodAround(NamedTuple):
    """What joints need to know of a blank: sizes, and how far a bevel raises the underside where one is drilled."""

    thickness_mm: float
    floor_mm: float
    middle_y_mm: float
    rise_at: Callable[[float, float], float]


def greatest_depth(joints: Iterable[Joint], cells: Cells, left_mm: Floats, wood: WoodAround) -> Floats:
    """Return the least of several joints' bounds over each cell; infinite where none has one."""
    least = np.full(np.shape(left_mm), np.inf)
    for joint in joints:
        least = np.minimum(least, joint.greatest_depth(cells, left_mm, wood))
    return least


def _near_polygon(cells: Cells, points: tuple[tuple[float, float], ...], around: float) -> NDArray[np.bool_]:
    polygon = shapely.Polygon(_three(points))
    left, rear, right, front = polygon.bounds
    x0, x1, y0, y1 = np.broadcast_arrays(*cells)
    near = (x0 <= right + around) & (x1 >= left - around) & (y0 <= front + around) & (y1 >= rear - around)
    # A cell of no size is no polygon to shapely: it is one point.
    points_only = (x0 == x1) & (y0 == y1)
    boxes = near & ~points_only
    out = np.zeros(np.shape(x0), dtype=bool)
    out[boxes] = shapely.distance(shapely.box(x0[boxes], y0[boxes], x1[boxes], y1[boxes]), polygon) <= around
    single = near & points_only
    out[single] = shapely.distance(shapely.points(x0[single], y0[single]), polygon) <= around
    return out


def _three(points: tuple[tuple[float, float], ...]) -> tuple[tuple[float, float], ...]:
    if len(points) < 3:
        raise ValueRefusedError("joint points_mm", f"{len(points)} points", "three or more", "add corners")
    return points
