"""Mortises that run into each other inside the blank, their mirror images among them."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from math import cos, radians, sin

import numpy as np
from numpy.typing import NDArray

from seatmesh.arrays import Floats
from seatmesh.wood.blank import Blank
from seatmesh.wood.joint import FROM_ABOVE, MORTISES, Joint

SAMPLE_MM = 1.0
TURNS = 48


@dataclass(frozen=True)
class Bore:
    """A mortise as a drilled cylinder: from `start` along `way`, a unit vector, `length_mm` far."""

    number: int
    joint: Joint
    start: Floats
    way: Floats
    length_mm: float

    def holds(self, points: Floats) -> NDArray[np.bool_]:
        """Tell which points, (n, 3), lie inside it."""
        from_start = points - self.start
        along = from_start @ self.way
        aside = np.linalg.norm(from_start - along[:, None] * self.way, axis=1)
        within = (along >= 0.0) & (along <= self.length_mm) & (aside < 0.5 * self.joint.diameter_mm)
        return np.asarray(within, dtype=bool)

    def points(self) -> Floats:
        """Return points all over it, (n, 3), no farther apart than some `SAMPLE_MM`."""
        across = np.cross(self.way, [1.0, 0.0, 0.0] if abs(self.way[0]) < 0.5 else [0.0, 1.0, 0.0])
        across /= np.linalg.norm(across)
        other = np.cross(self.way, across)
        radius = 0.5 * self.joint.diameter_mm
        out = np.linspace(0.0, 0.999 * radius, int(np.ceil(radius / SAMPLE_MM)) + 1)
        turn = np.linspace(0.0, 2.0 * np.pi, TURNS, endpoint=False)
        along = np.linspace(0.0, self.length_mm, int(np.ceil(self.length_mm / SAMPLE_MM)) + 1)
        ring = np.cos(turn)[:, None] * across + np.sin(turn)[:, None] * other
        disc = (out[:, None, None] * ring).reshape(-1, 3)
        return np.asarray((self.start + along[:, None, None] * self.way + disc).reshape(-1, 3))


def overlapping(blank: Blank) -> list[tuple[Bore, Bore]]:
    """Return the pairs of mortises that share wood, each pair of joints once; one may run into its own mirror image."""
    bores = [bore for number, one in enumerate(blank.joints, start=1) for bore in _bores(number, one, blank)]
    found: dict[tuple[int, int], tuple[Bore, Bore]] = {}
    for one, other in combinations(bores, 2):
        reach = one.length_mm + other.length_mm + one.joint.diameter_mm + other.joint.diameter_mm
        near = float(np.linalg.norm(one.start - other.start)) < reach
        pair = one.number, other.number
        if near and pair not in found and other.holds(one.points()).any():
            found[pair] = one, other
    return list(found.values())


def _bores(number: int, joint: Joint, blank: Blank) -> list[Bore]:
    """Return a mortise and its mirror image, if it has one; none for a zone."""
    if joint.kind not in MORTISES:
        return []
    lean, angle = joint.lean(0.5 * blank.depth_mm), radians(joint.angle_deg)
    is_from_above = joint.kind in FROM_ABOVE
    rise = float(blank.underside_rise_mm(joint.x_mm, joint.y_mm))
    length = (blank.thickness_mm - rise) / cos(angle) if joint.depth_mm is None else joint.depth_mm
    # A leg's foot and a post's head both lean away, so that both axes run the other way into the wood.
    up = -1.0 if is_from_above else 1.0
    way = np.array([-lean[0] * sin(angle), -lean[1] * sin(angle), up * cos(angle)])
    start = np.array([joint.x_mm, joint.y_mm, 0.0 if is_from_above else rise - blank.thickness_mm])
    out = [Bore(number, joint, start, way, length)]
    # On the centre line, upright or leaning along it, the mirror image is the mortise itself.
    if joint.side == "both" and (abs(joint.x_mm) > 0.0 or abs(way[0]) > 1e-9):
        mirror = np.array([-1.0, 1.0, 1.0])
        out.append(Bore(number, joint, start * mirror, way * mirror, length))
    return out
