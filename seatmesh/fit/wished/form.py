"""What the form of a hollow has to meet besides the body: its rim, its lowest place, its pommel, a round bowl.

All of it is linear in the spline's unknowns: values that are met as if by strong springs, and second differences of
coefficients across the bowl that may not exceed a bound, which is to say that the bowl is at least as round as wished.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import scipy.sparse as sp

from seatmesh.arrays import Floats
from seatmesh.fit.bounded.programme import Programme
from seatmesh.fit.bounded.springs import Springs
from seatmesh.fit.wished.rim import SeatRim
from seatmesh.fit.wished.target import ridge_mm, rim_dish
from seatmesh.fit.wished.wishes import Wishes
from seatmesh.spline import design_matrix, greville
from seatmesh.wood.blank import Blank

HOLDS = 2000.0
"""Strength of a spring against the pull of a millimetre's miss over 1 mm2: enough to meet wishes within 0.1 mm."""
SLOPE_MM = 10.0
"""A slope missed over this length counts as the depth that it makes."""
LOWEST_HOLDS = 10.0
"""How much stronger the lowest place is held: it is one point, the others are rows of them."""
POMMEL_HOLDS = 4.0
"""How much stronger the pommel is held: the whole front of the seat has to follow, not a line alone."""
TALLEST_SHARE = 0.85
"""Of the bowl's depth: a ridge is no higher, or the leg hollows beside it would be the deepest place of the seat."""
NARROWEST_MM = 60.0
"""The leg hollows beside a pommel lie no nearer to the centre line."""
BOWL_FRONT_MM = 50.0
"""All of the wished roundness is kept to so far ahead of the lowest place, none where the pommel begins."""
BOWL_SHARE = 0.6
"""And across this share of the half-width of an even dish that is half as deep where the wished section is."""
NARROWEST_BOWL_MM = 100.0
"""No such dish is taken to be narrower, to either side."""
BEHIND_MM = 15.0
"""Nearer to the deck line the walls alone are left."""
PLAIN_RIDGE_MM, LEG_SLOPE = 8.0, 0.06
"""Beside a ridge so high the leg hollows fall while the centre line does not; without one it may fall as steeply."""
WELL_INSIDE_MM = 10.0
"""From here on inside the rim wood is taken everywhere: nearer to it the rim alone says how much."""
SHOULDER_SHARE = 0.08
"""Share of an even dish that is carved at least, so that the surface falls away from its rim everywhere. Much more
would leave a shelf before the body's wall begins."""
NEARLY_LEVEL = 0.01
"""Slope at which an eased rim meets the flat; none at all would leave its line open."""


Spring = tuple[sp.csr_array, Floats, float]
"""Rows by the symmetric unknowns, the values that they are held to, and how strongly."""


@dataclass(frozen=True)
class Form:
    """What a hollow has to meet: springs and bounds by the symmetric unknowns, and the least coefficients, (nx, ny)."""

    springs: Springs
    least: Floats


@dataclass(frozen=True)
class FormWish:
    """What a form is made of: wood, wishes, a depth, and where the body puts lowest place and leg hollows.

    Attributes
    ----------
    depth_mm
        Of the hollow at its lowest place.
    lowest_y_mm
        Distance of the lowest place from the rear edge.
    leg_hollow_x_mm
        Distance of each row's leg hollow from the centre line, shape (ny,) over the programme's rows.
    wished_mm
        Depth wished at the programme's points, shape (ny, nx).
    rim, rim_springs
        The rim, None where the hollow ends with the body's print; and what holds the surface to it.
    room_mm
        How deep the bounds let each coefficient be, with some room to spare, shape (nx, ny).
    """

    blank: Blank
    wishes: Wishes
    depth_mm: float
    lowest_y_mm: float
    leg_hollow_x_mm: Floats
    wished_mm: Floats
    rim: SeatRim | None
    rim_springs: tuple[Spring, ...]
    room_mm: Floats


def form_of(programme: Programme, wish: FormWish, least_mm: float) -> Form:
    """Return what a hollow has to meet; coefficients are nowhere bounded below `least_mm`."""
    limited = [_bowl(programme, wish), _centre(programme, wish)]
    bounded = sp.csr_array(sp.vstack([one for one, _ in limited]))
    most = np.concatenate([one for _, one in limited])
    springs = replace(springs_of(programme, wish), limited=bounded, most=most)
    return Form(springs, _least(programme, wish, least_mm))


def springs_of(programme: Programme, wish: FormWish) -> Springs:
    """Return the springs of a form alone, no bounds with them."""
    springs = [_pommel(programme, wish), *_lowest(programme, wish), *wish.rim_springs]
    rows = sp.csr_array(sp.vstack([one for one, _, _ in springs]))
    values = np.concatenate([value for _, value, _ in springs])
    weights = np.concatenate([np.full(len(value), weight) for _, value, weight in springs])
    return Springs(rows, values, weights, sp.csr_array((0, rows.shape[1])), np.zeros(0))


def _lowest(programme: Programme, wish: FormWish) -> list[Spring]:
    """Hold the lowest place on the centre line to its depth and place; nothing where the bottom may be flat."""
    if wish.wishes.roundness <= 0.0:
        return []
    x, y = np.zeros(1), np.array([wish.lowest_y_mm])
    strong = LOWEST_HOLDS * HOLDS
    return [
        (programme.rows_at(x, y), np.array([wish.depth_mm]), strong),
        (programme.rows_at(x, y, 0, 1), np.zeros(1), strong * SLOPE_MM**2),
    ]


def _pommel(programme: Programme, wish: FormWish) -> Spring:
    """Hold the ridge on the centre line to its height below which the leg hollows lie, row by row."""
    wishes, blank = wish.wishes, wish.blank
    start = blank.depth_mm - wishes.pommel_length_mm
    ahead = programme.y_mm > start
    y = programme.y_mm[ahead]
    shallow = min(1.0, wish.depth_mm / wishes.depth_mm) if wishes.depth_mm > 0.0 else 1.0
    height = np.minimum(shallow * ridge_mm(y, wishes, blank), TALLEST_SHARE * wish.depth_mm)
    x = np.maximum(wish.leg_hollow_x_mm[ahead], NARROWEST_MM)
    rows = programme.rows_at(x, y) - programme.rows_at(np.zeros_like(y), y)
    level = SLOPE_MM * programme.rows_at(x, y, 1, 0)
    both = sp.csr_array(sp.vstack([rows, level]))
    return both, np.concatenate([height, np.zeros_like(y)]), POMMEL_HOLDS * HOLDS


def rim_springs(programme: Programme, wishes: Wishes, rim: SeatRim | None) -> tuple[Spring, ...]:
    """Hold the surface to the flat along the rim; an eased one meets it nearly level, and runs out as a parabola."""
    if rim is None:
        return ()
    x, y = rim.line_mm()
    y = np.clip(y, programme.knots_y[0], programme.knots_y[-1])
    on = programme.rows_at(x, y)
    out: list[Spring] = [(on, np.zeros(len(x)), HOLDS)]
    if wishes.rim == "eased":
        inward_x, inward_y = _inward(rim, x, y)
        ease = wishes.rim_ease_mm
        half = _moved_in(programme, x, y, (inward_x, inward_y), 0.5 * ease)
        whole = _moved_in(programme, x, y, (inward_x, inward_y), ease)
        slope = sp.diags_array(inward_x) @ programme.rows_at(x, y, 1, 0)
        slope = slope + sp.diags_array(inward_y) @ programme.rows_at(x, y, 0, 1)
        out.append((sp.csr_array(SLOPE_MM * slope), np.full(len(x), SLOPE_MM * NEARLY_LEVEL), HOLDS))
        out.append((sp.csr_array(half - 0.25 * whole), np.full(len(x), 0.25 * ease * NEARLY_LEVEL), HOLDS))
    return tuple(out)


def _inward(rim: SeatRim, x: Floats, y: Floats) -> tuple[Floats, Floats]:
    """Return the direction across the rim into the hollow, by differences; shapes (n,)."""
    step = 1.0
    by_x = rim.inside_mm(x + step, y) - rim.inside_mm(x - step, y)
    by_y = rim.inside_mm(x, y + step) - rim.inside_mm(x, y - step)
    by_x = np.where(x < step, 0.0, by_x)
    size = np.maximum(np.hypot(by_x, by_y), 1e-9)
    return by_x / size, by_y / size


def _moved_in(
    programme: Programme, x: Floats, y: Floats, inward: tuple[Floats, Floats], by_mm: float
) -> sp.csr_array:
    held_y = np.clip(y + by_mm * inward[1], programme.knots_y[0], programme.knots_y[-1])
    return programme.rows_at(np.abs(x + by_mm * inward[0]), held_y)


def _bowl(programme: Programme, wish: FormWish) -> tuple[sp.csr_array, Floats]:
    """Return second differences across the bowl, and the most that each may be: it is round, and never a ridge."""
    blank, rim = wish.blank, wish.rim
    x, y = greville(programme.knots_x), greville(programme.knots_y)
    half = np.interp(y, programme.y_mm, _dish_half_width(programme.x_mm, wish.wished_mm))
    ends = blank.depth_mm - wish.wishes.pommel_length_mm
    fades = wish.lowest_y_mm + BOWL_FRONT_MM
    kept = np.clip(1.0 - (y - fades) / max(ends - fades, 1.0), 0.0, 1.0)
    deep = np.interp(y, programme.y_mm, np.maximum(wish.wished_mm[:, 0], 0.0))
    curved = wish.wishes.roundness * 2.0 * deep / half**2 * kept
    start = blank.hollow_start_mm if rim is None else max(rim.start_mm(), blank.hollow_start_mm)
    if wish.wishes.roundness <= 0.0:
        return sp.csr_array((0, programme.mirror.shape[1])), np.zeros(0)
    nx, ny = programme.shape
    within = (x[:, None] <= 1e-9) & (-x[:, None] <= BOWL_SHARE * half)
    # Where a joint, or the floor, holds the bowl up it need not be round.
    free = np.all(~within | (wish.room_mm >= deep), axis=0) & (y > start + BEHIND_MM) & (y < ends)
    i, j = np.nonzero(within[1:-1] & free)
    row = np.repeat(np.arange(len(i)), 3)
    column = ((i[:, None] + np.arange(3)) * ny + j[:, None]).ravel()
    second = sp.csr_array(
        sp.coo_array((np.tile([1.0, -2.0, 1.0], len(i)), (row, column)), shape=(len(i), nx * ny))
    )
    step = x[nx // 2 + 1] - x[nx // 2]
    return sp.csr_array(second @ programme.mirror), -curved[j] * step**2


def _centre(programme: Programme, wish: FormWish) -> tuple[sp.csr_array, Floats]:
    """Return by how much the centre line deepens from one coefficient to the next ahead of the bowl: by nothing.

    So there is no second basin, with a dam at the front, between bowl and ridge. Without a ridge the centre line falls
    with the legs.
    """
    nx, ny = programme.shape
    y = greville(programme.knots_y)
    ahead = np.flatnonzero(
        (y[:-1] > wish.lowest_y_mm + BOWL_FRONT_MM) & np.all(wish.room_mm[:, 1:] > 0.0, axis=0)
    )
    at_centre = design_matrix(np.zeros(1), programme.knots_x).tocoo()
    i, share = at_centre.col, at_centre.data
    row = np.repeat(np.arange(len(ahead)), 2 * len(i))
    column = np.concatenate([i * ny + ahead[:, None] + 1, i * ny + ahead[:, None]], axis=1).ravel()
    value = np.tile(np.concatenate([share, -share]), len(ahead))
    deeper = sp.csr_array(sp.coo_array((value, (row, column)), shape=(len(ahead), nx * ny)))
    plain = max(0.0, 1.0 - wish.wishes.pommel_mm / PLAIN_RIDGE_MM)
    return sp.csr_array(deeper @ programme.mirror), LEG_SLOPE * plain * np.diff(y)[ahead]


def _dish_half_width(x: Floats, depth: Floats) -> Floats:
    """Return the half-width of an even dish that is half as deep where each row's section is, shape (ny,)."""
    shallow = depth < 0.5 * depth.max(axis=1, keepdims=True)
    # The last place from the side inward that is half as deep or more.
    last = x[depth.shape[1] - 1 - np.argmax(~shallow[:, ::-1], axis=1)]
    return np.asarray(np.maximum(np.sqrt(2.0) * last, NARROWEST_BOWL_MM))


def _least(programme: Programme, wish: FormWish, least_mm: float) -> Floats:
    """Return the least coefficients: well inside the rim wood goes everywhere."""
    x, y = greville(programme.knots_x), greville(programme.knots_y)
    if wish.rim is None:
        return np.full(programme.shape, least_mm)
    inside = wish.rim.inside_mm(x[:, None], y[None, :])
    dish = rim_dish(x[:, None], y[None, :], wish.rim, wish.lowest_y_mm)
    on_pommel = (np.abs(x)[:, None] < NARROWEST_MM) & (y > wish.blank.depth_mm - wish.wishes.pommel_length_mm)
    shoulder = np.where(on_pommel, 0.0, SHOULDER_SHARE * wish.depth_mm * dish)
    carved = (inside > WELL_INSIDE_MM) & (wish.room_mm > shoulder)
    return np.where(carved, shoulder, least_mm)


__all__ = ["Form", "FormWish", "Spring", "form_of", "rim_springs", "springs_of"]
