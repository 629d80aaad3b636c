"""Points of a blank whose places need no measuring: corners, ends of the centre line, both sides half way."""

from __future__ import annotations

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.marks.known_points import APART_MM
from seatmesh.wood.blank import Blank

CORNER_DEG = 25.0
"""An outline that turns this much at one point has a corner there; rounds are drawn in chords that turn by less."""
SAME_MM = 0.01

Named = tuple[str, tuple[float, float]]


def suggested_points(blank: Blank) -> tuple[Named, ...]:
    """Return names and places, mm, of points to point at in a photograph, those that make the best four first.

    Left and right are the sitter's. Half way is measured from the rear edge, and marked there.
    """
    outline = blank.polygon_mm()
    corners = _corners(outline)
    (rear, front), (left, right) = _centre_line(outline), _half_way(outline)
    out: list[Named] = []
    for name, place in (*corners, rear, right, front, left):
        if all(np.hypot(place[0] - at[0], place[1] - at[1]) >= APART_MM for _, at in out):
            out.append((name, place))
    return tuple(out)


def _corners(outline: Floats) -> list[Named]:
    before, after = outline - np.roll(outline, 1, axis=0), np.roll(outline, -1, axis=0) - outline
    turns = np.degrees(
        np.arctan2(before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0], (before * after).sum(axis=1))
    )
    sharp = outline[turns > CORNER_DEG]
    sharp = sharp[np.abs(sharp[:, 0]) > SAME_MM]
    if len(sharp) != 4:
        return []
    middle = 0.5 * (sharp[:, 1].min() + sharp[:, 1].max())
    names = {(x < 0.0, y < middle): (x, y) for x, y in ((float(one[0]), float(one[1])) for one in sharp)}
    if len(names) != 4:
        return []
    order = (
        ("rear left corner", (True, True)),
        ("rear right corner", (False, True)),
        ("front right corner", (False, False)),
        ("front left corner", (True, False)),
    )
    return [(name, names[key]) for name, key in order]


def _centre_line(outline: Floats) -> list[Named]:
    x, y = outline.T
    over_x, over_y = np.roll(x, -1), np.roll(y, -1)
    crossing = (np.minimum(x, over_x) <= SAME_MM) & (np.maximum(x, over_x) >= -SAME_MM)
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.where(np.abs(over_x - x) > SAME_MM, -x / (over_x - x), 0.0)
    at = (y + np.clip(share, 0.0, 1.0) * (over_y - y))[crossing]
    rear, front = float(at.min()), float(at.max())
    return [
        ("rear end of the centre line", (0.0, rear)),
        ("front end of the centre line", (0.0, front)),
    ]


def _half_way(outline: Floats) -> list[Named]:
    """Return both sides of the outline half way from rear edge to front edge."""
    y = 0.5 * float(outline[:, 1].min() + outline[:, 1].max())
    right = outline[: len(outline) // 2 + 1]
    half = float(np.interp(y, right[:, 1], right[:, 0]))
    return [("left side, half way", (-half, y)), ("right side, half way", (half, y))]
