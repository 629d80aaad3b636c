"""What chance makes of a clean carving: the greatest of many ratios that hardly any carving of pure noise exceeds.

The ratios are linear in the readings, so their limit follows from the places alone: pure noise is drawn, each draw's
greatest ratio is noted. Limits belong to rare events, of which draws hold few: so the quantiles that are well known are
carried on outward by the law of the greatest of a smooth normal field, whose chance to pass u falls as u exp(-u^2 / 2)
(Adler and Taylor 2007, *Random Fields and Geometry*; from memory). The draws start from a fixed seed: the same places
give the same limit.
"""

from __future__ import annotations

import numpy as np

from seatmesh.arrays import Floats

DRAWS = 1200
KNOWN = (0.6, 0.7, 0.8, 0.9)
"""Quantiles that so many draws know well."""
SEED = 20_000


def chance_limit(shapes: Floats, whiten: Floats, false_alarms: float, shared: Floats | None = None) -> float:
    """Return the limit for the greatest length of a pair of ratios.

    `shapes` (m, k, n) are m groups of k weights over the n readings, each group's ratios of unit variance under noise
    of unit variance; `whiten` (n, n) gives the noise that is left of readings once what is fair is taken out, and from
    which the noise is told: each draw is judged by its own. `shared` is the covariance of errors that readings share,
    per noise, shape (n, n).
    """
    rng = np.random.default_rng(SEED)
    noise = rng.standard_normal((shapes.shape[2], DRAWS))
    freedom = max(1.0, float(np.trace(whiten)))
    if shared is not None:
        noise = np.linalg.cholesky(np.eye(len(shared)) + shared) @ noise
        freedom = max(1.0, freedom + float(np.sum(whiten * shared)))
    own = np.sqrt(np.maximum(np.einsum("ij,ij->j", noise, whiten @ noise) / freedom, 1e-12))
    greatest = np.zeros(DRAWS)
    for k in range(0, len(shapes), 512):
        ratios = np.tensordot(shapes[k : k + 512], noise, axes=1)
        greatest = np.maximum(greatest, np.sqrt(np.sum(ratios**2, axis=1)).max(axis=0))
    return _carried_on(greatest / own, false_alarms)


def _carried_on(greatest: Floats, chance: float) -> float:
    """Return what is passed with a small chance, by the law of the tail through `KNOWN` quantiles."""
    at = np.quantile(greatest, KNOWN)
    level = float(np.mean(np.log(-np.log(KNOWN)) - np.log(at) + 0.5 * at**2))
    aim = np.log(-np.log1p(-chance))
    low, high = float(at[0]), 20.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if level + np.log(middle) - 0.5 * middle**2 > aim else (low, middle)
    return high
