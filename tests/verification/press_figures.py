"""What is read off a pressed section: pressure over the seat, areas, the peak over 1 cm2, the hottest 8 %."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from ogden import Ogden
from press_assembly import PENALTY_PER_MM, Ground, flat_ground, pressed_skin
from press_discrete import Discrete

Floats = NDArray[np.float64]

TOUCH_KPA = 0.67
"""'In contact' in mat studies (check-values S8: Yuan et al. 2020)."""
PEAK_DISC_MM = float(np.sqrt(100.0 / np.pi))
"""Radius of the disc of 1 cm2 that stands for a square of 10 x 10 mm."""
HOT_SHARE = 0.08


@dataclass(frozen=True)
class Figures:
    """Figures of a pressure p(r) that falls outward from its middle.

    `touch_mm` is where p ends, `above_mm` where it falls below 0.67 kPa, `share` the load on the hottest 8 % of the
    area above that, over the load. Areas are in cm2; for a slice they are widths in mm, and the peak is the mean over
    10 mm.
    """

    top_kpa: float
    peak_kpa: float
    touch_mm: float
    above_mm: float
    touch_area: float
    above_area: float
    share: float


def profile(
    d: Discrete, material: Ogden, unknowns: Floats, ground: Ground = flat_ground
) -> tuple[Floats, Floats]:
    """Return r (mm, ascending from 0) and the pressure there (kPa): a mean for each piece of skin.

    A piece is one side of an element; its force is divided by the ring of seat that it now covers. Pieces that have
    turned up and back over the contact carry nothing and are left out.
    """
    stiffness = PENALTY_PER_MM * 1e-3 * material.mu_kpa
    at, push, _, _ = pressed_skin(d, stiffness, ground, unknowns)
    moved = unknowns[d.skin_dofs].reshape(len(d.skin_dofs), -1, 2)[..., 0]
    spread = d.skin_tangent[..., 0] + np.einsum("eqi,ei->eq", d.skin_slope, moved)
    if d.axisymmetric:
        spread = spread * at[..., 0] / d.skin_at_mm[..., 0]
    covered = (d.skin_weight * spread).sum(axis=1)
    force = (d.skin_weight * push).sum(axis=1)
    r = at[..., 0].mean(axis=1)
    order = np.argsort(d.skin_at_mm[..., 1].mean(axis=1))
    order = order[: int(np.argmax(r[order])) + 1]
    order = order[covered[order] > 0.0]
    pressure = 1e3 * force[order] / covered[order]
    return _with_edge(np.append(0.0, r[order]), np.append(pressure[0], pressure))


def _with_edge(r: Floats, p: Floats) -> tuple[Floats, Floats]:
    """Add the point where contact ends: p^2 falls to 0 in a straight line there, as at every smooth edge (Hertz).

    The line runs through the last two pieces that are covered whole; the edge stays within the next piece.
    """
    last = int(np.nonzero(p > 0.0)[0][-1])
    if last < 3 or last + 1 == len(p):
        return r, p
    square = p**2
    fall = (square[last - 2] - square[last - 1]) / (r[last - 1] - r[last - 2])
    reach = square[last - 1] / fall if fall > 0.0 else np.inf
    edge = float(np.clip(r[last - 1] + reach, 0.9 * r[last] + 0.1 * r[last + 1], r[last + 1]))
    return np.insert(r, last + 1, edge), np.insert(p, last + 1, 0.0)


def figures(r: Floats, p: Floats, load_n: float, *, axisymmetric: bool = True) -> Figures:
    """Return the figures of p (kPa) at r (mm, ascending) under `load_n` (N, or N per mm for a slice)."""
    fine = (np.arange(40_000) + 0.5) * (r[-1] / 40_000)
    q = np.interp(fine, r, p)
    ring = (2 * np.pi * fine if axisymmetric else np.full_like(fine, 2.0)) * (r[-1] / 40_000)
    middle = fine <= (PEAK_DISC_MM if axisymmetric else 5.0)
    above = float(fine[np.nonzero(q > TOUCH_KPA)[0][-1]])
    touch = float(fine[np.nonzero(q > 0.0)[0][-1]])
    hot = fine <= above * (np.sqrt(HOT_SHARE) if axisymmetric else HOT_SHARE)
    unit = 100.0 if axisymmetric else 1.0
    return Figures(
        top_kpa=float(q.max()),
        peak_kpa=float((q * ring)[middle].sum() / ring[middle].sum()),
        touch_mm=touch,
        above_mm=above,
        touch_area=float(ring[fine <= touch].sum() / unit),
        above_area=float(ring[fine <= above].sum() / unit),
        share=float((q * ring)[hot].sum() * 1e-3 / load_n),
    )
