"""Laying a scan into the frame of its blank."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.errors import ValueRefusedError

Point = tuple[float, float, float]
Line = tuple[Point, Point]

LEAST_BASE_SHARE = 0.05
"""Height of the triangle of the rim points over its longest side, below which it is next to a line."""


@dataclass(frozen=True)
class AsDrawn:
    """The file is in the frame of the blank already, as files of this project are.

    Examples
    --------
    >>> from seatmesh import AsDrawn, flat_seat, read_carved, solid, write_mesh
    >>> write_mesh(solid(flat_seat(), tolerance_mm=1.0), "blank.stl")
    >>> read_carved("blank.stl", flat_seat().blank, unit="mm", placing=AsDrawn()).notes
    ('nothing is carved in this blank',)
    """


@dataclass(frozen=True)
class RimPoints:
    """Three points on the uncut rim, and the centre line from the rear edge to the front edge; in the file's unit.

    They tell which plane is meant; its last tenths come from the uncut wood near it. Without a centre line (None) the
    outline tells how the seat lies on it, or the direction of the front.

    Examples
    --------
    >>> from seatmesh import RimPoints
    >>> centre_line = (0.0, 5.0, 0.0), (0.0, 420.0, 0.0)
    >>> len(RimPoints(centre_line, ((-150.0, 20.0, 0.0), (150.0, 20.0, 0.0), (0.0, 425.0, 0.0))).rim)
    3
    """

    centre_line: Line | None
    rim: tuple[Point, Point, Point]


@dataclass(frozen=True)
class RimPlane:
    """The plane that fits the uncut rim best.

    `centre_line`, from the rear edge to the front edge in the file's unit, fixes the rest; None lays the scan's
    outline on the blank's, the file's y pointing to the front.

    Examples
    --------
    >>> from seatmesh import RimPlane
    >>> RimPlane(centre_line=((0.0, 5.0, 0.0), (0.0, 420.0, 0.0))).centre_line[1]
    (0.0, 420.0, 0.0)
    """

    centre_line: Line | None = None


Placing = AsDrawn | RimPoints | RimPlane


@dataclass(frozen=True)
class Frame:
    """Where the blank's frame lies in the file: origin, shape (3,), mm, and axes x, y, z as rows, shape (3, 3)."""

    origin: Floats
    axes: Floats

    def into(self, points: Floats) -> Floats:
        """Return points of the file, shape (n, 3), mm, in the frame of the blank."""
        return np.asarray((points - self.origin) @ self.axes.T)


@dataclass(frozen=True)
class Plane:
    """A plane by its normal, which points up out of the wood, and how far along it lies."""

    normal: Floats
    offset: float

    def onto(self, point: Floats) -> Floats:
        """Return the foot of a point on the plane."""
        return np.asarray(point - (point @ self.normal - self.offset) * self.normal)


def frame_along(plane: Plane, rear: Floats, front: Floats) -> Frame:
    """Return the frame on a plane whose y runs from one point to another.

    Raises
    ------
    ValueRefusedError
        The points do not tell a direction in the plane.
    """
    ahead = plane.onto(front) - plane.onto(rear)
    length = float(np.linalg.norm(ahead))
    if not length > 0.5 * float(np.linalg.norm(front - rear)) > 0.0:
        raise ValueRefusedError(
            "centre_line",
            (tuple(rear.tolist()), tuple(front.tolist())),
            "its ends have to be two points on the seat, apart along it",
            "give a point at the rear edge and one at the front edge",
        )
    y = ahead / length
    x = np.cross(y, plane.normal)
    return Frame(plane.onto(rear), np.stack([x, y, plane.normal]))


def plane_through(rim: Floats, points: Floats) -> Plane:
    """Return the plane through three points, up on the side where fewer points of the seat lie.

    Raises
    ------
    ValueRefusedError
        The three lie next to a line.
    """
    sides = rim - np.roll(rim, 1, axis=0)
    across = np.cross(rim[1] - rim[0], rim[2] - rim[0])
    longest = float(np.linalg.norm(sides, axis=1).max())
    if not np.linalg.norm(across) > LEAST_BASE_SHARE * longest**2:
        raise ValueRefusedError(
            "rim",
            tuple(map(tuple, rim.tolist())),
            "the three points lie next to one line",
            "take them far apart, such as two at the rear corners and one at the front",
        )
    normal = across / np.linalg.norm(across)
    offset = float(rim.mean(axis=0) @ normal)
    if np.mean(points @ normal - offset) > 0.0:
        normal, offset = -normal, -offset
    return Plane(normal, offset)


def checked_points(given: object, count: int, name: str) -> Floats:
    """Return points of the caller as an array, shape (count, 3).

    Raises
    ------
    ValueRefusedError
        They are not so many points of three finite numbers.
    """
    try:
        points = np.asarray(given, dtype=float)
    except (TypeError, ValueError):
        points = np.zeros(0)
    if points.shape != (count, 3) or not np.isfinite(points).all():
        raise ValueRefusedError(
            name,
            given,
            f"allowed are {count} points of three finite numbers",
            "give (x, y, z) of each, in the file's unit",
        )
    return points
