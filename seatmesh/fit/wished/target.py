"""The depth that a sitter would like, place by place, before fairness and bounds have their say.

A seat that presses evenly follows the skin pressed toward the bone: z = z_skin + c(p, t) + constant, with c the
compression that an even pressure p causes in tissue of thickness t. Wishes bend that shape.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from scipy.interpolate import CubicSpline

from seatmesh.arrays import Floats
from seatmesh.fit.wished.rim import SeatRim
from seatmesh.fit.wished.wishes import Wishes
from seatmesh.front_roll import roll_length_mm
from seatmesh.seating.sitter import Sitter
from seatmesh.seating.sitting import Sitting
from seatmesh.tissue import TISSUE, TissueBed
from seatmesh.wood.blank import Blank

LEAST_TARGET_MM = -10.0
"""Outside the hollow the target runs on above the wood, so that the hollow ends in a clean line, but no higher."""
FREE_WEIGHT = 0.03
"""Weight of places that the body does not load against those that it does, where the hollow ends with the body."""
BETWEEN_WEIGHT = 0.003
"""And between the body's print and the rim: there the fairest surface is what is wished for."""
DISH_WEIGHT = 0.3
"""What a common dish weighs there where it alone is wished for; the less, the closer the seat is to follow the body."""
BEYOND_WEIGHT = 1e-4
"""And beyond the rim, where nothing is carved."""
RELIEF_REACH_MM = 25.0
EASE_SLOPE = 0.12
"""Slope of the ease before the front roll where the roll takes over, 7 degrees; common practice, from memory."""
TROUGH_WITHIN_MM = 160.0
"""The deepest place across is looked for within this distance of the centre line."""
LOWEST_WITHIN_MM = 80.0
"""The body's lowest place is looked for within this distance of the sit bones, to the rear and to the front."""
NEARLY_MM = 0.25
"""Points this much less deep than the deepest count exp(-1) in saying where it lies. So the place moves steadily with
the body, not from one column or row of points to the next."""
OPEN_FRONT_MM = 400.0
"""An even dish would run out so far ahead of its lowest place: beyond the front edge, so that the front is open."""
LEAST_FADE_MM = 10.0
"""Over no less a length a ridge runs out to the rear."""
RUN_OUT_MM = 12.0
"""Beside the deepest place of a row the pommel's foot runs out over this length."""
LOADED_MM = (-3.0, -1.0)
"""Between these depths the weight of a place rises from `FREE_WEIGHT` to 1: where the depth is negative wood stays."""
PRINTED_MM = (0.0, 4.0)
"""The same inside a rim: the flank of the hollow may run out wider than the body's print."""
RELIEVED_MM = 4.0
"""From this depth on all of the tailbone's relief is given; less where the seat is shallower, none on flat wood."""


@dataclass(frozen=True)
class Target:
    """Depths wished at points, mm, and the weight of each, shapes (ny, nx); where each row's leg hollow lies, (ny,)."""

    depth_mm: Floats
    weight: Floats
    leg_hollow_x_mm: Floats


@dataclass(frozen=True)
class Impression:
    """A sitter's evenly pressed body over points (ny, nx): its rise above its lowest point, and where that lies.

    Attributes
    ----------
    rise_mm
        Height above the lowest point.
    lowest_y_mm
        Distance of the lowest point from the rear edge.
    spread_mm
        Half-width, and reach to the rear and the front, of a common dish for this sitter.
    tailbone_y_mm, sit_bones_y_mm
        Distance of the tip of the tailbone, and of the sit bones, from the rear edge.
    """

    rise_mm: Floats
    lowest_y_mm: float
    spread_mm: tuple[float, float, float]
    tailbone_y_mm: float
    sit_bones_y_mm: float

    @cached_property
    def _risen(self) -> dict[object, Floats]:
        """The rise that was asked for last: one depth after the other asks for the same."""
        return {}

    def moved(self, rows: Floats, by_mm: float, to_rows: Floats) -> Impression:
        """Return the impression of a sitter who sits so much farther forward, over other rows.

        `rows` (ny,) are its own; between them it is interpolated.
        """
        key = by_mm, rows.tobytes(), to_rows.tobytes()
        if key not in self._risen:
            self._risen.clear()
            self._risen[key] = CubicSpline(rows, self.rise_mm)(to_rows - by_mm)
        rise = self._risen[key]
        return replace(
            self,
            rise_mm=rise,
            lowest_y_mm=self.lowest_y_mm + by_mm,
            tailbone_y_mm=self.tailbone_y_mm + by_mm,
            sit_bones_y_mm=self.sit_bones_y_mm + by_mm,
        )


def impression(sitter: Sitter, on_flat: Sitting, x: Floats, y: Floats, shift_y: float = 0.0) -> Impression:
    """Press a body evenly, in its pose on the flat blank, and move it forward by `shift_y`.

    `x` (nx,) and `y` (ny,) are the columns and rows of points in the frame of the blank.
    """
    pose, figures = on_flat.pose, on_flat.figures
    columns, rows = np.meshgrid(x - sitter.at_mm[0], y - sitter.at_mm[1] - shift_y)
    fields = sitter.seated.fields(columns.ravel(), rows.ravel())
    even_mpa = figures.load_n / (figures.contact_area_cm2 * 100.0)
    give = TissueBed(TISSUE, fields.backing).overlap_at(even_mpa)
    turned = (columns + sitter.at_mm[0], rows + sitter.at_mm[1])
    height = (fields.skin + give).reshape(columns.shape) - pose.sink_mm(*turned) + pose.heave_mm
    near = np.where(np.abs(rows) < LOWEST_WITHIN_MM, height, np.inf)
    lowest = float(near.min())
    share = np.exp((lowest - near) / NEARLY_MM)
    bones_y = sitter.at_mm[1] + shift_y
    anatomy = sitter.seated.anatomy
    return Impression(
        rise_mm=height - lowest,
        lowest_y_mm=float(share.sum(axis=1) @ y / share.sum()),
        spread_mm=(anatomy.hip_half_breadth, -0.9 * anatomy.buttock_back, 0.8 * sitter.seated.knee_back_y),
        tailbone_y_mm=bones_y + sitter.seated.tailbone_tip[1],
        sit_bones_y_mm=bones_y,
    )


def target(
    seen: Impression,
    x: Floats,
    y: Floats,
    depth_mm: float,
    wishes: Wishes,
    blank: Blank,
    rim: SeatRim | None = None,
) -> Target:
    """Return the depths wished by a sitter for a hollow whose deepest point is `depth_mm` deep.

    With a rim the seat is shaped as a whole, up to it; without one the hollow ends where the body does, and no place is
    wished deeper than `depth_mm`.
    """
    columns, rows = np.meshgrid(x, y)
    close, body = wishes.closeness, depth_mm - seen.rise_mm
    if rim is None:
        held = np.maximum(body, LEAST_TARGET_MM)
        blend = close * held + (1.0 - close) * _dish(columns, rows, seen, depth_mm)
    else:
        # The less close, the less the body's print pulls up what lies beside it.
        held = np.maximum(body, close * LEAST_TARGET_MM)
        dish = depth_mm * rim_dish(columns, rows, rim, seen.lowest_y_mm)
        blend = close * held + (1.0 - close) * dish
    bent = blend - _rear_rise(rows, seen, wishes, blank) + _front_ease(rows, wishes, blank)
    trough, reach = leg_hollows(bent, x)
    ridged = _with_pommel(bent, (trough, reach), x, y, wishes, blank)
    off = np.hypot(columns, rows - seen.tailbone_y_mm) / RELIEF_REACH_MM
    relieved = ridged + wishes.tailbone_relief_mm * np.exp(-(off**2)) * _risen(ridged / RELIEVED_MM)
    if rim is None:
        loaded = _risen((relieved - LOADED_MM[0]) / (LOADED_MM[1] - LOADED_MM[0]))
        weight = FREE_WEIGHT + (1.0 - FREE_WEIGHT) * loaded
        return Target(np.clip(relieved, LEAST_TARGET_MM, depth_mm), weight, reach[:, 0])
    printed = _risen((np.minimum(body, relieved) - PRINTED_MM[0]) / (PRINTED_MM[1] - PRINTED_MM[0]))
    between = max(BETWEEN_WEIGHT, DISH_WEIGHT * (1.0 - close) ** 4)
    weight = between + (1.0 - between) * printed
    inside = rim.inside_mm(columns, rows) > 0.0
    return Target(relieved, np.where(inside, weight, BEYOND_WEIGHT), reach[:, 0])


def _risen(share: Floats) -> Floats:
    """Return 0 up to a share of 0, 1 from a share of 1 on, and a smooth rise between."""
    held = np.clip(share, 0.0, 1.0)
    return np.asarray(held**2 * (3.0 - 2.0 * held))


def _dish(columns: Floats, rows: Floats, seen: Impression, depth_mm: float) -> Floats:
    """Return a common dish: elliptic about the deepest point, longer to the front than to the rear."""
    across, rear, front = seen.spread_mm
    ahead = rows - seen.lowest_y_mm
    along = np.where(ahead < 0, ahead / rear, ahead / front)
    return np.asarray(np.maximum(depth_mm * (1.0 - (columns / across) ** 2 - along**2), LEAST_TARGET_MM))


def rim_dish(x: Floats, y: Floats, rim: SeatRim, lowest_y_mm: float) -> Floats:
    """Return an even dish that runs out to the rim: 1 at its lowest place, 0 on sides and deck line, open to the front.

    `x` and `y` broadcast.
    """
    across = np.clip(1.0 - (x / rim.half_width_at(y)) ** 2, 0.0, None)
    ahead = y - lowest_y_mm
    along = np.where(ahead < 0, ahead / max(lowest_y_mm - rim.start_mm(), 1.0), ahead / OPEN_FRONT_MM)
    return np.asarray(across * np.clip(1.0 - along**2, 0.0, None))


def _rear_rise(rows: Floats, seen: Impression, wishes: Wishes, blank: Blank) -> Floats:
    """Return by how much the seat is raised behind the deepest line: all of the wish at the deck line."""
    behind = (seen.lowest_y_mm - rows) / max(seen.lowest_y_mm - blank.deck_mm, 1.0)
    return wishes.rear_rise_mm * _risen(behind)


def _front_ease(rows: Floats, wishes: Wishes, blank: Blank) -> Floats:
    """Return the further depth by which the seat eases down ahead of where the front roll's length begins.

    A parabola, level where it begins and `EASE_SLOPE` steep where the arc of the roll takes over.
    """
    if wishes.front_roll_length_mm is None:
        return np.zeros_like(rows)
    ahead = np.clip(rows - (blank.depth_mm - wishes.front_roll_length_mm), 0.0, None)
    room = max(wishes.front_roll_length_mm - roll_length_mm(wishes.front_roll_mm), 1.0)
    return np.asarray(0.5 * EASE_SLOPE * ahead**2 / room)


def leg_hollows(depth: Floats, x: Floats) -> tuple[Floats, Floats]:
    """Return the depth of the deepest place of each row, and how far from the centre line it lies, shapes (ny, 1)."""
    aside = np.abs(x)
    held = np.where((aside <= TROUGH_WITHIN_MM)[None, :], depth, -np.inf)
    trough = held.max(axis=1, keepdims=True)
    nearly = np.exp((held - trough) / NEARLY_MM)
    return trough, ((nearly @ aside) / nearly.sum(axis=1))[:, None]


def ridge_mm(y: Floats, wishes: Wishes, blank: Blank) -> Floats:
    """Return the wished height of the pommel at rows y, (ny,): all of it where the roll begins, none to the rear."""
    behind_roll = max(wishes.pommel_length_mm - roll_length_mm(wishes.front_roll_mm), LEAST_FADE_MM)
    fade = behind_roll if wishes.pommel_fade_mm is None else min(wishes.pommel_fade_mm, behind_roll)
    return wishes.pommel_mm * _risen((y - (blank.depth_mm - wishes.pommel_length_mm)) / fade)


def _with_pommel(
    depth: Floats, leg_hollows: tuple[Floats, Floats], x: Floats, y: Floats, wishes: Wishes, blank: Blank
) -> Floats:
    """Hold the ridge on the centre line to the wished height above the hollows beside it, fading to the rear."""
    aside, (trough, reach) = np.abs(x), leg_hollows
    ridge = ridge_mm(y, wishes, blank)[:, None]
    # A cosine across keeps the ridge round on top and lets it run out in the hollows.
    foot = reach if wishes.pommel_width_mm is None else np.minimum(reach, 0.5 * wishes.pommel_width_mm)
    share = 0.5 * (1.0 + np.cos(np.pi * np.clip(aside[None, :] / np.maximum(foot, 1.0), 0.0, 1.0)))
    between = np.clip((reach - aside[None, :]) / RUN_OUT_MM, 0.0, 1.0)
    return np.asarray(depth + between * np.maximum(trough - ridge * share - depth, 0.0))
