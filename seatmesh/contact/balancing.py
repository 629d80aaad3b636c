"""The balance of bodies on a layer: which may be balanced at all, where to begin, and the descent from there.

Unknown are heave, pitch and roll (small rotations). The overlap of body and surface at a grid cell is

    u = heave + pitch (y - y_load) + roll (x - x_load) - gap,

and the bed turns it into a pressure where it is positive. With a bed that pushes back harder the larger u, the balance
of force and both moments is the minimum of a convex energy, which damped Newton steps find. Many bodies are balanced at
once, each on its own: arrays have an axis of bodies then, and one body is many of which there is one.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from seatmesh.arrays import Bools, Floats
from seatmesh.contact.descent import descended, toppling
from seatmesh.contact.posed import Balances, Layer, Load, Pose, unknowns
from seatmesh.solution import Solution

TOLERANCE = 3e-10
"""Largest imbalance of a balanced body, over the load (moments: over the load times `ARM_MM`)."""
FIRST_STEP_MM, NEXT_STEP_MM = 20.0, 8.0
"""Steps down from where a body touches, in search of a place to start: first about what most sitters sink in, then less
and ever more again."""


def balance(layer: Layer, load: Load, start: Pose | None = None) -> Solution[Pose]:
    """Find the pose in which the bed's pressure carries the load and its two moments.

    `start` is where to begin, for instance the pose found for a surface nearby. The residual is the larger of the
    imbalance of force over the load and of the moments over load times `ARM_MM`.
    """
    one = replace(layer, gap_mm=layer.gap_mm[None, :])
    loads = Load(*(np.array([value], dtype=float) for value in (load.force_n, load.x_mm, load.y_mm)))
    q = None if start is None else unknowns(start)[None, :]
    return balance_all(one, loads, q).pose(0, load)


def balance_all(
    layer: Layer, load: Load, start: Floats | None = None, tolerance: float = TOLERANCE
) -> Balances:
    """Balance many bodies, each on its own: `gap_mm` of the layer has shape (bodies, n), the load's values (bodies,).

    The bed answers overlaps of that shape. `start` has shape (bodies, 3); a row that is not a number begins from
    scratch.
    """
    refused = _refused(layer, load)
    sound = np.ones(len(layer.gap_mm), dtype=bool)
    sound[list(refused)] = False
    begun = np.zeros_like(sound) if start is None else np.isfinite(start).all(axis=1)
    q = np.zeros((len(sound), 3))
    if start is not None:
        q[begun & sound] = start[begun & sound]
    bare = sound & ~begun
    if bare.any():
        q[bare, 0] = _level_heave(layer, load, bare)[bare]
    found = descended(layer, load, q, sound, tolerance)
    if not refused:
        return found
    verdicts = tuple(refused.get(k, verdict) for k, verdict in enumerate(found.verdicts))
    return replace(found, verdicts=verdicts, residual=np.where(sound, found.residual, np.inf))


def _refused(layer: Layer, load: Load) -> dict[int, str]:
    """Return why bodies are not balanced at all, by their number."""
    left, right, back, front = layer.extent
    force, x, y = np.asarray(load.force_n), np.asarray(load.x_mm), np.asarray(load.y_mm)
    # From what matters least to what matters most: the last word stands. No pressure balances a load beyond all cells.
    reasons = {
        toppling("to the left"): x < left,
        toppling("to the right"): x > right,
        toppling("backward"): y < back,
        toppling("forward"): y > front,
        "the body misses the seat; move one over the other": np.full(
            len(force), not (layer.area_mm2 > 0).any()
        ),
        "there is no load; give one above 0 N": ~(np.isfinite(force) & (force > 0)),
    }
    return {int(k): why for why, which in reasons.items() for k in np.flatnonzero(which)}


def _level_heave(layer: Layer, load: Load, wanted: Bools) -> Floats:
    """Return roughly, and rather too much than too little, the heave at which bodies held level carry the force."""
    wood = layer.area_mm2 > 0
    gap = layer.gap_mm if wood.all() else np.where(wood, layer.gap_mm, np.inf)
    heave: Floats = gap.min(axis=1, initial=np.inf)
    left = wanted.copy()
    step = FIRST_STEP_MM
    while step < 1e4 and left.any():
        heave[left] += step
        overlap = heave[:, None] - layer.gap_mm
        overlap[~left] = -1.0
        carried = np.einsum("bn,n->b", layer.bed.response(overlap)[0], layer.area_mm2)
        left &= carried < load.force_n
        step = NEXT_STEP_MM if step == FIRST_STEP_MM else 1.5 * step
    return heave
