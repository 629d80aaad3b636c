"""The reference's cases as arrays for a law of independent points: skin, bone, seat and what finite elements found."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from press_figures import HOT_SHARE, PEAK_DISC_MM, TOUCH_KPA
from press_mesh import BONE_FLARE, SKIN_RADIUS_MM
from reference_case import Row

Floats = NDArray[np.float64]

HALVINGS = 36


@dataclass(frozen=True)
class Batch:
    """n cases over m rings of seat, all measured from the lowest skin before any load.

    Attributes
    ----------
    r
        Middle of a ring, shape (m,), mm; `edge`, shape (m + 1,).
    skin, seat
        Heights of the free skin and of the seat over its lowest point, shape (n, m), mm.
    column, free
        Tissue straight above the skin and the nearest distance from skin to bone, shape (n, m), mm.
    tip, thickness, load, approach
        Bone radius, free tissue under the bone, load (N or N per mm) and what finite elements found, shape (n, 1).
    found
        Finite elements' peak (kPa), area (cm2, or width in mm) and share on the hottest 8 %, shape (n, 3).
    turned
        Rings, or strips on both sides of a slice.
    """

    r: Floats
    edge: Floats
    skin: Floats
    seat: Floats
    column: Floats
    free: Floats
    tip: Floats
    thickness: Floats
    load: Floats
    approach: Floats
    found: Floats
    turned: bool

    @property
    def ring(self) -> Floats:
        """Area of the rings in mm2, shape (m,)."""
        return np.asarray(np.diff(np.pi * self.edge**2 if self.turned else 2.0 * self.edge))

    def overlap(self, approach: Floats) -> Floats:
        """Return how far the seat reaches above the free skin, shape (n, m)."""
        return np.maximum(approach + self.seat - self.skin, 0.0)

    def pressed(self, approach: Floats) -> Floats:
        """Return the nearest distance to bone from skin moved straight up on to the seat, shape (n, m)."""
        height = np.maximum(approach + self.seat, self.skin)
        if self.turned:
            return to_sit_bone(self.r, height, self.thickness, self.tip)
        return np.asarray(np.hypot(self.r, self.thickness + self.tip - height) - self.tip)


Pressure = Callable[[Batch, Floats], Floats]
"""Pressure (kPa), shape (n, m), of a batch at an approach, shape (n, 1)."""


def batch(rows: Sequence[Row], part: str) -> Batch:
    """Return rows of one table as a batch; `part` is "sit bone" or "thigh"."""
    turned = part == "sit bone"
    edge = np.concatenate([np.arange(0.0, 30.0, 0.5), np.arange(30.0, 81.0 if turned else 55.0)])
    r = 0.5 * (edge[1:] + edge[:-1])
    tip, thickness, load, approach, dish = (
        np.array([[row[name]] for row in rows])
        for name in ("bone_radius_mm", "thickness_mm", "load", "approach_mm", "dish_mm")
    )
    round_mm = np.full_like(tip, SKIN_RADIUS_MM) if turned else tip + thickness
    skin = round_mm - np.sqrt(round_mm**2 - r**2)
    seat = np.where(dish > 0.0, r**2 / (2.0 * np.where(dish > 0.0, dish, 1.0)), 0.0)
    if turned:
        free, column = to_sit_bone(r, skin, thickness, tip), _above_to_sit_bone(r, thickness, tip) - skin
    else:
        free = np.broadcast_to(thickness, skin.shape)
        under = thickness + tip - np.sqrt(np.maximum(tip**2 - r**2, 0.0))
        column = np.where(r < tip, under, 2 * round_mm - skin) - skin
    found = np.array([[row["peak_kpa"], row["area"], row["share"]] for row in rows])
    return Batch(r, edge, skin, seat, column, free, tip, thickness, load, approach, found, turned)


def to_sit_bone(r: Floats, z: Floats, thickness: Floats, tip: Floats) -> Floats:
    """Return the distance to a sit bone of `press_mesh.buttock`: a round tip that runs into a cone."""
    up = thickness + tip - z
    on_tip = np.arctan2(r, up) <= np.pi / 2 - BONE_FLARE
    flank = r * np.cos(BONE_FLARE) + up * np.sin(BONE_FLARE)
    return np.asarray(np.where(on_tip, np.hypot(r, up), flank) - tip)


def _above_to_sit_bone(r: Floats, thickness: Floats, tip: Floats) -> Floats:
    """Return the height where a line straight up meets the bone, or the top of the flesh."""
    ring, rise = tip * np.cos(BONE_FLARE), tip * np.sin(BONE_FLARE)
    on_tip = thickness + tip - np.sqrt(np.maximum(tip**2 - np.minimum(r, tip) ** 2, 0.0))
    on_cone = thickness + tip - rise + (r - ring) / np.tan(BONE_FLARE)
    return np.asarray(np.minimum(np.where(r <= ring, on_tip, on_cone), SKIN_RADIUS_MM))


def carry(b: Batch, law: Pressure) -> tuple[Floats, Floats]:
    """Return the approach at which the law carries each load, shape (n, 1), and the pressure, by halving."""
    low, high = np.zeros_like(b.thickness), 0.98 * b.thickness
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        enough = (law(b, middle) * b.ring).sum(axis=1, keepdims=True) * 1e-3 > b.load
        low, high = np.where(enough, low, middle), np.where(enough, middle, high)
    return high, law(b, high)


def misfit(b: Batch, law: Pressure) -> Floats:
    """Return peak and area over finite elements' less 1, and the share less theirs, shape (n, 3)."""
    _, p = carry(b, law)
    peak_mm, hot_power = (PEAK_DISC_MM, 0.5) if b.turned else (5.0, 1.0)
    index = np.arange(len(p))
    last = p.shape[1] - 1 - np.argmax(p[:, ::-1] > TOUCH_KPA, axis=1)
    after = np.minimum(last + 1, p.shape[1] - 1)
    fall = np.maximum(p[index, last] - p[index, after], 1e-9)
    above = b.r[last] + np.minimum((p[index, last] - TOUCH_KPA) / fall, 1.0) * (b.r[after] - b.r[last])
    inner = _within(b, np.full(len(p), peak_mm))
    hot = _within(b, above * HOT_SHARE**hot_power)
    peak = (p * inner).sum(axis=1) / inner.sum(axis=1)
    area = np.pi * above**2 / 100.0 if b.turned else 2.0 * above
    share = (p * hot).sum(axis=1) * 1e-3 / b.load[:, 0]
    return np.column_stack([peak / b.found[:, 0] - 1.0, area / b.found[:, 1] - 1.0, share - b.found[:, 2]])


def _within(b: Batch, reach: Floats) -> Floats:
    """Return how much of each ring lies within `reach`, shape (n, m)."""
    held = np.minimum(b.edge, reach[:, None])
    return np.asarray(np.diff(np.pi * held**2 if b.turned else 2.0 * held, axis=1))
