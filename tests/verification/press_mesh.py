"""Half sections of soft tissue on a bone, meshed between the bone's curve and the skin's."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from skfem import MeshQuad

Floats = NDArray[np.float64]

SKIN_RADIUS_MM = 110.0
"""Radius of the buttock's round skin: its equator is the free side, its top is free or held."""
BONE_FLARE = np.radians(20.0)
"""Half angle of the cone into which the round tip of the sit bone runs, upward."""


@dataclass(frozen=True)
class Section:
    """A half section in (r, z): r from the axis or plane of symmetry, z up, the lowest skin at z = 0.

    Attributes
    ----------
    bone_mm, skin_mm
        Curves from the axis outward, shape (n + 1, 2); point i of one is joined to point i of the other.
    layers
        Elements from bone to skin.
    axisymmetric
        Turned about r = 0, or else a slice of unit thickness (1 mm) of a long body, mirrored in r = 0.
    closed
        The last ray lies on the plane of symmetry too (a whole thigh).
    lid
        The last ray moves with the bone instead of being free.
    """

    bone_mm: Floats
    skin_mm: Floats
    layers: int
    axisymmetric: bool = True
    closed: bool = False
    lid: bool = False

    def mesh(self) -> MeshQuad:
        """Return the mesh; its facets are named bone, skin, axis and end."""
        n = len(self.bone_mm) - 1
        plain = MeshQuad.init_tensor(np.arange(n + 1.0), np.linspace(0.0, 1.0, self.layers + 1))
        along, across = np.rint(plain.p[0]).astype(int), plain.p[1]
        points = across[:, None] * self.bone_mm[along] + (1 - across)[:, None] * self.skin_mm[along]
        named = plain.with_boundaries(
            {
                "bone": lambda x: x[1] > 1 - 1e-9,
                "skin": lambda x: x[1] < 1e-9,
                "axis": lambda x: x[0] < 1e-9,
                "end": lambda x: x[0] > n - 1e-9,
            }
        )
        return replace(named, doflocs=np.ascontiguousarray(points.T))


def buttock(thickness_mm: float, tip_mm: float, *, fineness: int = 2, lid: bool = False) -> Section:
    """Return the flesh under one sit bone: round skin, round bone tip of radius `tip_mm` running into a cone.

    The bone's tip is `thickness_mm` above the lowest skin; flesh and bone end at the equator of the skin, 110 mm up.
    """
    s = _graded(32 * fineness, 5.0)
    skin_angle = s * np.pi / 2
    skin = SKIN_RADIUS_MM * np.column_stack([np.sin(skin_angle), 1 - np.cos(skin_angle)])
    return Section(_bone_points(s, thickness_mm, tip_mm), skin, 4 * fineness, lid=lid)


def bone_curve(thickness_mm: float, tip_mm: float, count: int = 400) -> Floats:
    """Return points on the sit bone of `buttock`, shape (count, 2), from its tip up."""
    return _bone_points(np.linspace(0.0, 1.0, count), thickness_mm, tip_mm)


def _bone_points(s: Floats, thickness: float, tip: float) -> Floats:
    turn = np.pi / 2 - BONE_FLARE
    edge = np.array([tip * np.sin(turn), thickness + tip - tip * np.cos(turn)])
    flank = (SKIN_RADIUS_MM - edge[1]) / np.cos(BONE_FLARE)
    arc = s * (tip * turn + flank)
    angle = np.minimum(arc / tip, turn)
    beyond = np.maximum(arc - tip * turn, 0.0)
    r = tip * np.sin(angle) + beyond * np.sin(BONE_FLARE)
    z = thickness + tip - tip * np.cos(angle) + beyond * np.cos(BONE_FLARE)
    return np.column_stack([r, z])


def thigh(thickness_mm: float, bone_mm: float, *, fineness: int = 2) -> Section:
    """Return half of a round thigh's cross-section with its bone, of radius `bone_mm`, in the middle."""
    angle = _graded(32 * fineness, 12.0) * np.pi
    ray = np.column_stack([np.sin(angle), -np.cos(angle)])
    outer = bone_mm + thickness_mm
    centre = np.array([0.0, outer])
    return Section(
        centre + bone_mm * ray, centre + outer * ray, 4 * fineness, axisymmetric=False, closed=True
    )


def flat_layer(thickness_mm: float, radius_mm: float, step_mm: float, layers: int) -> Section:
    """Return a flat disc of tissue bonded to a flat bone above it, its steps growing outward from `step_mm`."""
    count = int(np.ceil(np.log1p(0.06 * radius_mm / step_mm) / np.log1p(0.06)))
    r = np.concatenate([[0.0], np.cumsum(1.06 ** np.arange(count))])
    r *= radius_mm / r[-1]
    return Section(
        np.column_stack([r, np.full_like(r, thickness_mm)]), np.column_stack([r, np.zeros_like(r)]), layers
    )


def _graded(count: int, ratio: float) -> Floats:
    """Return count + 1 numbers from 0 to 1: 60 % of the steps alike, where contact is, then up to `ratio` longer."""
    steps = 1.0 + (ratio - 1.0) * np.clip((np.linspace(0.0, 1.0, count) - 0.6) / 0.4, 0.0, 1.0)
    return np.concatenate([[0.0], np.cumsum(steps) / steps.sum()])
