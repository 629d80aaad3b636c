"""Points of the blank that a photograph shows and whose places are known; what no mapping can be made of is refused."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.errors import InputError, ValueRefusedError
from seatmesh.units import real_number

CORNERS = 4
LEAST_CHECK_POINTS = 4
LEAST_TRIANGLE = 0.02
"""Least height of the triangle of any three corners over its longest side."""
FARTHEST_MM = 10_000.0
"""Beyond it no point is one of a blank; common practice."""
MOST_SIZE_PX = 100_000.0
"""Width or height of a picture that is larger than any that a camera takes or a hand puts together; common practice."""
APART_MM = 15.0
"""A check point nearer than this to a corner, or to another one, checks nothing."""


@dataclass(frozen=True)
class KnownPoint:
    """A point of the blank whose place was measured and whose pixel was read.

    Attributes
    ----------
    name
        What a refusal calls it.
    pixel
        From the image's left and from its top, px; None of them need be whole.
    at_mm
        (x, y) in the frame of the blank.
    """

    name: str
    pixel: tuple[float, float]
    at_mm: tuple[float, float]


def check_known_points(corners: Sequence[KnownPoint], check_points: Sequence[KnownPoint]) -> None:
    """Refuse corners and check points that make no mapping, or do not check it; see `marks_from_photograph`."""
    if len(corners) != CORNERS:
        raise InputError(
            f"photograph: {len(corners)} corners given, allowed are {CORNERS}; give each of the four."
        )
    if len(check_points) < LEAST_CHECK_POINTS:
        raise InputError(
            f"photograph: {len(check_points)} check points given, at least {LEAST_CHECK_POINTS} are needed; measure "
            "more crosses on the blank, away from the corners."
        )
    for point in (*corners, *check_points):
        for value in (*point.pixel, *point.at_mm):
            real_number(f"photograph '{point.name}'", value)
        if max(abs(value) for value in point.pixel) > MOST_SIZE_PX:
            raise ValueRefusedError(
                f"photograph '{point.name}' pixel",
                f"({point.pixel[0]:g}, {point.pixel[1]:g})",
                f"no picture has more than {MOST_SIZE_PX:g} pixels a side",
                "read the pixel in the whole image, at its full size, from the top left",
            )
    check_places([*corners, *check_points])
    turns = []
    for trio in combinations(corners, 3):
        by_px = turn(np.array([point.pixel for point in trio], dtype=float))
        by_mm = turn(np.array([point.at_mm for point in trio], dtype=float))
        if min(abs(by_px), abs(by_mm)) < LEAST_TRIANGLE:
            names = ", ".join(f"'{point.name}'" for point in trio)
            raise InputError(
                f"photograph: corners {names} lie on a line; give four that no three of lie on one, as far apart as "
                "the blank allows."
            )
        turns.append(by_px * by_mm > 0.0)
    _check_order(turns)
    for i, point in enumerate(check_points):
        _check_apart(point, [*corners, *check_points[:i]])


def _check_order(turns: Sequence[bool]) -> None:
    """Refuse corners unless pixels run round them the other way than places: y is up on the blank, down in an image."""
    if not any(turns):
        return
    if all(turns):
        raise InputError(
            "photograph: the corners run round the other way than on the blank, so left and right would change "
            "places; use a photograph from above that is not mirrored, and count pixels from its top left."
        )
    raise InputError(
        "photograph: pixels and places of the corners are not in the same order; pair each corner's pixel with its own "
        "place."
    )


def _check_apart(point: KnownPoint, others: Sequence[KnownPoint]) -> None:
    for other in others:
        gap = float(np.hypot(point.at_mm[0] - other.at_mm[0], point.at_mm[1] - other.at_mm[1]))
        if gap < APART_MM:
            raise InputError(
                f"photograph: check point '{point.name}' is {gap:.0f} mm from '{other.name}', allowed is "
                f"{APART_MM:g} mm or more; choose one further away."
            )


def turn(trio: Floats) -> float:
    """Return the height of the triangle of three points, shape (3, 2), over its longest side.

    It is positive where they run counter-clockwise if y runs up.
    """
    first, second, third = np.roll(trio, -1, axis=0) - trio
    longest = max(float(np.hypot(*side)) for side in (first, second, third))
    twice_area = float(first[0] * second[1] - first[1] * second[0])
    return twice_area / longest**2 if longest > 0.0 else 0.0


def checked_size(size: tuple[float, float]) -> tuple[float, float]:
    """Return the size of the image, px, refused unless it can be one: a lens bends about its middle."""
    width, height = (real_number("photograph image_size_px", value) for value in size)
    if min(width, height) <= 0.0 or max(width, height) > MOST_SIZE_PX:
        raise ValueRefusedError(
            "photograph image_size_px",
            size,
            f"allowed are numbers above 0 and at most {MOST_SIZE_PX:g}",
            "give width and height in pixels",
        )
    return width, height


def check_places(points: Sequence[KnownPoint]) -> None:
    """Refuse known points so far off that they can be none of a blank: no figure of them could be trusted."""
    for point in points:
        if not all(abs(value) <= FARTHEST_MM for value in point.at_mm):
            raise ValueRefusedError(
                f"photograph '{point.name}'",
                f"({point.at_mm[0]:g}, {point.at_mm[1]:g}) mm",
                f"allowed are places within {FARTHEST_MM:g} mm of where centre line and rear edge meet",
                "give x_mm and y_mm of the point on the blank",
            )


def check_pixel(name: str, pixel: tuple[float, float], size: tuple[float, float] | None) -> None:
    """Refuse a pixel that is no pair of numbers or, where the size is known, lies outside the image."""
    u, v = (real_number(f"photograph '{name}' pixel", value) for value in pixel)
    if size is not None and not (0.0 <= u <= size[0] and 0.0 <= v <= size[1]):
        raise ValueRefusedError(
            f"photograph '{name}' pixel",
            f"({u:g}, {v:g})",
            f"the image has {size[0]:g} x {size[1]:g} pixels",
            "read the pixel in the whole image, at its full size, from the top left",
        )
