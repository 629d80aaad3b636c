"""The seated body: thighs, buttocks and bones from one sitter's anatomy, as two height fields.

The frame is that of `anatomy`: origin midway between the tips of the sit bones, x right, y forward, z up, mm.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from seatmesh.arrays import Floats, Ints
from seatmesh.body.body import Body
from seatmesh.body.figure.anatomy import (
    HIP_ABOVE_SIT_BONE_MM,
    HIP_AHEAD_OF_SIT_BONE_MM,
    TAILBONE_ABOVE_MM,
    TAILBONE_BEHIND_MM,
    Anatomy,
    anatomy_of,
    anatomy_of_many,
)
from seatmesh.body.figure.posture import Posture
from seatmesh.body.figure.shapes import Ellipsoid, Length, Point, TaperedCapsule, blended_lowest
from seatmesh.body.many_bodies import ManyBodies
from seatmesh.tissue import Backing

Solid = Ellipsoid | TaperedCapsule

BLEND_MM = 6.0
"""How softly thighs and buttocks run into one another."""
SIT_BONE_AXES_MM = (19.4, 31.6, 25.0)
"""Half-axes of the sit bone: radius 15 mm across and 40 mm fore and aft at its tip (B12)."""
THIGH_BONE_RADIUS_MM = 20.0
KNEE_BONE_RADIUS_MM = 28.0
TAILBONE_RADII_MM = (8.0, 20.0)
TAILBONE_TISSUE_MM = (18.0, 25.0)
"""Skin over the tip of the tailbone and over the sacrum above it; from memory."""
BUTTOCK_HALF_HEIGHT_MM = 55.0
"""Of a buttock of usual flatness; its radius at the bottom is half-width squared over this."""
THIGH_LIFT_MM = 8.0
"""Underside of the thighs above that of the buttocks, unloaded; the pitch of balance makes up the rest."""
CROSSED_LIFT_MM = 45.0
"""Further lift of a thigh that lies over the other one, at the hip; twice that at the knee."""
LEAST_TISSUE_MM = 8.0
LEAST_HELD_MM = 30.0
"""Flesh whose skin lies higher up than this below the hips, between the thighs and far up the sides, counts as held so
far away: the elements that taught the law end there."""
BUTTOCK_END_MM = 45.0
"""The thigh is counted from this far ahead of the sit bones, the buttock up to there."""

PARTS = ("left_sit_bone", "right_sit_bone", "left_thigh", "right_thigh", "tailbone")


@dataclass(frozen=True)
class Fields:
    """The body over points (n,), in its own frame, mm.

    Attributes
    ----------
    skin
        Height of the underside of skin.
    tissue
        Distance from skin to the nearest bone, in space.
    backing
        What holds the flesh: the bones, and the body above at the height of the hips.
    part
        Index into `PARTS`: what the skin there belongs to.
    """

    skin: Floats
    tissue: Floats
    backing: Backing
    part: Ints


@dataclass(frozen=True)
class SeatedBody:
    """A body in one posture: solids of flesh and bone, and the points that its load needs."""

    anatomy: Anatomy
    flesh: tuple[Solid, ...]
    bones: Mapping[str, Solid]
    hip: Point
    knee_back_y: float
    knee_x: float
    tailbone_tip: Point

    def fields(self, x: Floats, y: Floats) -> Fields:
        """Return skin and tissue over points (n,), in the body's frame; of many bodies over (bodies, n), row by row."""
        skin = self.skin(x, y)
        distance, backing = self.held(x, y, skin)
        return Fields(skin.ravel(), distance.min(axis=0), backing, parts_of(distance, x, y))

    def skin(self, x: Floats, y: Floats) -> Floats:
        """Return the height of the underside of skin over points."""
        return blended_lowest([solid.skin(x, y) for solid in self.flesh], BLEND_MM)

    def _rise(self, x: Floats, y: Floats, skin: Floats) -> Floats:
        """Return sin^2 of the slope of the skin, whose height is given, over points.

        The slope of a smooth minimum is the mean of its parts' slopes, each counting as much as it does in the minimum.
        """
        x, y = np.broadcast_arrays(x, y)
        by_x, by_y = np.zeros(skin.shape), np.zeros(skin.shape)
        for solid in self.flesh:
            share, own_x, own_y = solid.sloping(x, y)
            np.subtract(skin, share, out=share)
            share /= BLEND_MM
            np.exp(share, out=share)
            own_x *= share
            own_y *= share
            by_x += own_x
            by_y += own_y
        by_x *= by_x
        by_y *= by_y
        by_x += by_y
        return np.asarray(by_x / (1.0 + by_x))

    def bone(self, x: Floats, y: Floats) -> Floats:
        """Return the height of the underside of bone over points (n,), infinite where there is none above."""
        undersides = (bone.underside(x, y) for bone in self.bones.values())
        return np.asarray(np.min([np.where(covers, height, np.inf) for height, covers in undersides], axis=0))

    def held(self, x: Floats, y: Floats, skin: Floats) -> tuple[Floats, Backing]:
        """Return how far the bone of each of `PARTS` is from the skin over points, and what holds the flesh there.

        Shapes (k, n); of many bodies (k, bodies * n), body by body.
        """
        count = len(PARTS)
        shape = (count + 1, *skin.shape)
        aside, above, radius = np.zeros(shape), np.empty(shape), np.zeros(shape)
        distance = np.empty((count, *skin.shape))
        for number, name in enumerate(PARTS):
            (across, along, up), ball = self.bones[name].nearest((x, y, skin))
            plan = (across - x) ** 2 + (along - y) ** 2
            above[number] = up - skin
            distance[number] = np.sqrt(plan + above[number] ** 2) - ball
            aside[number], radius[number] = np.sqrt(plan), ball
        # Far up the sides, off the seat, the simple solids come too close to one another.
        deep = np.maximum(LEAST_TISSUE_MM - distance, 0.0)
        # The tailbone is a narrow ridge, past which flesh gives way on both sides: it holds as its bare axis would.
        # With its radius it would press up to six times as hard in a deep hollow, slouched, as the elements say.
        radius[PARTS.index("tailbone")] = 0.0
        radius[:count] -= deep
        distance += deep
        above[count] = np.maximum(self.hip[2] - skin, LEAST_HELD_MM)
        flat = (count + 1, -1)
        backing = Backing(
            aside.reshape(flat), above.reshape(flat), radius.reshape(flat), self._rise(x, y, skin).ravel()
        )
        return distance.reshape((count, -1)), backing


def parts_of(distance: Floats, x: Floats, y: Floats) -> Ints:
    """Return the index into `PARTS` that the skin over points belongs to; `distance` (parts, n) is to each bone."""
    side = (x >= 0).astype(np.int64)
    limb = np.where(y < BUTTOCK_END_MM, side, side + 2)
    tailbone = PARTS.index("tailbone")
    others = np.delete(np.arange(len(PARTS)), tailbone)
    at_tail = distance[tailbone] < distance[others].min(axis=0)
    return np.asarray(np.where(at_tail, tailbone, np.broadcast_to(limb, np.shape(x)).ravel()))


def seat_body(body: Body, posture: Posture) -> SeatedBody:
    """Return the body seated in a posture added to its habit."""
    return _seated(anatomy_of(body), body.habit.pelvis_tilt_deg, body.habit.splay_deg, posture)


def seat_bodies(bodies: ManyBodies, posture: Posture) -> SeatedBody:
    """Return many bodies seated in one posture as one: all its lengths have shape (bodies, 1)."""
    tilt, splay = bodies.column("pelvis_tilt_deg"), bodies.column("splay_deg")
    return _seated(anatomy_of_many(bodies), tilt, splay, posture)


def _seated(anatomy: Anatomy, tilt_deg: Length, splay_deg: Length, posture: Posture) -> SeatedBody:
    tilt = np.radians(tilt_deg + posture.pelvis_tilt_deg)
    splay = np.radians(splay_deg + posture.splay_deg)
    hip = _tilted((0.0, HIP_AHEAD_OF_SIT_BONE_MM, HIP_ABOVE_SIT_BONE_MM), tilt)
    tailbone = _tilted((0.0, -TAILBONE_BEHIND_MM, TAILBONE_ABOVE_MM), tilt)
    sacrum = _tilted((0.0, -TAILBONE_BEHIND_MM - 30.0, TAILBONE_ABOVE_MM + 55.0), tilt)
    flesh: list[Solid] = [_tailbone(tailbone, sacrum, TAILBONE_TISSUE_MM)]
    bones: dict[str, Solid] = {}
    for side, sign in (("left", -1.0), ("right", 1.0)):
        lift = CROSSED_LIFT_MM if posture.crossed == side else 0.0
        thigh, bone = _thigh(anatomy, hip, sign, splay, lift)
        flesh.append(thigh)
        bones[f"{side}_thigh"] = bone
        bones[f"{side}_sit_bone"] = Ellipsoid(
            (sign * anatomy.sit_bone_x, 0.0, SIT_BONE_AXES_MM[2]), SIT_BONE_AXES_MM
        )
    bones["tailbone"] = _tailbone(tailbone, sacrum, (0.0, 0.0))
    return SeatedBody(
        anatomy=anatomy,
        flesh=(*flesh, *_buttocks(anatomy, flesh)),
        bones=bones,
        hip=hip,
        knee_back_y=hip[1] + (anatomy.knee_back - hip[1]) * np.cos(splay),
        knee_x=anatomy.thigh_x + (anatomy.knee_back - hip[1]) * np.sin(splay),
        tailbone_tip=(0.0, tailbone[1], tailbone[2] - TAILBONE_RADII_MM[0]),
    )


def _tilted(point: Point, tilt: Length) -> Point:
    """Roll a point of the pelvis back about the line through the tips of the sit bones."""
    x, y, z = point
    return (x, y * np.cos(tilt) - z * np.sin(tilt), z * np.cos(tilt) + y * np.sin(tilt))


def _tailbone(tip: Point, sacrum: Point, tissue: tuple[float, float]) -> TaperedCapsule:
    radii = (TAILBONE_RADII_MM[0] + tissue[0], TAILBONE_RADII_MM[1] + tissue[1])
    return TaperedCapsule(tip, sacrum, radii, radii)


def _thigh(
    anatomy: Anatomy, hip: Point, sign: float, splay: Length, lift: float
) -> tuple[TaperedCapsule, TaperedCapsule]:
    """Return the flesh of a thigh, its underside level, and the bone in it.

    A flatter thigh has a lower section of the same width at the hip, where the buttock goes on; at the knee it is as
    round as its girth.
    """
    at_hip, at_knee = anatomy.thigh_half_heights[0] / anatomy.flatness, anatomy.thigh_half_heights[1]
    # The flesh ends in a rounding behind the knee, a third of its half-width long.
    length = anatomy.knee_back - hip[1] - anatomy.thigh_half_widths[1] / 3.0
    floor = -anatomy.tissue + THIGH_LIFT_MM + lift
    x_hip, y_hip = sign * anatomy.thigh_x, hip[1]
    x_knee = x_hip + sign * length * np.sin(splay)
    y_knee = y_hip + length * np.cos(splay)
    z_knee = floor + lift + at_knee
    flesh = TaperedCapsule(
        (x_hip, y_hip, floor + at_hip),
        (x_knee, y_knee, z_knee),
        anatomy.thigh_half_widths,
        (at_hip, at_knee),
    )
    # The shaft starts below the trochanter, outside the thigh's own axis, a little below the hip joint.
    shaft_x = sign * anatomy.thigh_bone_x
    radii = (THIGH_BONE_RADIUS_MM, KNEE_BONE_RADIUS_MM)
    bone = TaperedCapsule((shaft_x, y_hip, hip[2] - 9.0 + lift), (x_knee, y_knee, z_knee + 5.0), radii, radii)
    return flesh, bone


def _buttocks(anatomy: Anatomy, flesh: list[Solid]) -> tuple[Ellipsoid, Ellipsoid]:
    """Return both buttocks, let down until the blended skin lies `tissue` below the tips of the sit bones."""
    out = 0.5 * (anatomy.sit_bone_x + 0.5 * anatomy.hip_half_breadth)
    y = -5.0
    half_height = BUTTOCK_HALF_HEIGHT_MM / anatomy.flatness
    axes = (anatomy.hip_half_breadth - out, y - anatomy.buttock_back, half_height)

    aside = np.asarray(anatomy.sit_bone_x)
    tips = np.stack([-aside, aside]), np.zeros((2, *aside.shape))
    heights = [solid.skin(*tips) for solid in flesh]
    own = [Ellipsoid((sign * out, y, 0.0), axes).skin(*tips) for sign in (-1.0, 1.0)]
    z = np.stack([np.asarray(half_height - anatomy.tissue)] * 2)
    for _ in range(8):
        let_down = [height + centre for height, centre in zip(own, z, strict=True)]
        z = z - (blended_lowest([*heights, *let_down], BLEND_MM) + anatomy.tissue)
    left, right = z.tolist() if z.ndim == 1 else z
    return Ellipsoid((-out, y, left), axes), Ellipsoid((out, y, right), axes)
