"""Laws of independent points, p = K f(e), to be fitted on the reference: one chosen, the others to compare."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from fast_batch import Batch, Pressure
from numpy.typing import NDArray
from scipy.special import i0e

Floats = NDArray[np.float64]

TOUCH_STRAIN = 0.03
"""Keeps the root law's stiffness finite at first touch."""
THICKNESS_SCALE_MM = 30.0
MOST_STRAIN = 0.98
SPREAD_LENGTHS_MM = np.geomspace(2.0, 60.0, 16)


@dataclass(frozen=True)
class Variant:
    """A family of laws: its name, how it is made from unconstrained parameters, and where a fit starts.

    `make` takes (ln K, ...) with K in kPa.
    """

    name: str
    make: Callable[[Sequence[float]], Pressure]
    start: tuple[float, ...]


def free_strain(b: Batch, approach: Floats) -> Floats:
    """Return overlap over the nearest distance from the free skin to bone."""
    return np.minimum(b.overlap(approach) / b.free, MOST_STRAIN)


def column_strain(b: Batch, approach: Floats) -> Floats:
    """Return overlap over the tissue straight above."""
    return np.minimum(b.overlap(approach) / b.column, MOST_STRAIN)


def pressed_strain(b: Batch, approach: Floats) -> Floats:
    """Return 1 - t_now / t_free: how much nearer to bone the skin has come, over how far it was."""
    return np.clip(1.0 - b.pressed(approach) / b.free, 0.0, MOST_STRAIN)


def power(e: Floats, K: float, m: float) -> Floats:
    """Return K e / (1 - e)^m."""
    return np.asarray(K * e / (1.0 - e) ** m)


def stiffening(e: Floats, K: float, beta: Floats | float, s: float) -> Floats:
    """Return K e (1 + beta (e / (1 - e))^s)."""
    return np.asarray(K * e * (1.0 + beta * (e / (1.0 - e)) ** s))


def rooted(e: Floats, K: float, beta: Floats | float, s: float) -> Floats:
    """Return K e / sqrt(e + 0.03) (1 + beta (e / (1 - e))^s).

    A point of a continuum is lifted by its neighbours too: under a round body on a half space the pressure goes with
    the root of the overlap (Johnson 1985, 4.2), not with the overlap.
    """
    return np.asarray(stiffening(e, K, beta, s) / np.sqrt(e + TOUCH_STRAIN))


def _chosen(q: Sequence[float]) -> Pressure:
    K, beta, s = np.exp(q[0]), np.exp(q[1]), q[2]
    return lambda b, d: rooted(pressed_strain(b, d), K, beta * b.free / THICKNESS_SCALE_MM, s)


def _spread(q: Sequence[float]) -> Pressure:
    """Spread the stiffness p / overlap of columns over c sqrt(bone radius x tissue left), load by load."""
    K, m, c = np.exp(q[0]), q[1], np.exp(q[2])

    def pressure(b: Batch, d: Floats) -> Floats:
        overlap = b.overlap(d)
        e = np.minimum(overlap / b.column, MOST_STRAIN)
        stiffness = K / b.column / (1.0 - e) ** m
        length = c * np.sqrt(b.tip * np.maximum(b.thickness - d, 0.5))[:, 0]
        return _smooth(b, stiffness, length) * overlap

    return pressure


def _smooth(b: Batch, values: Floats, length: Floats) -> Floats:
    """Average over a Gaussian of `length` in the plane of the seat, by interpolation between tabled lengths."""
    table = np.einsum("kij,nj->nki", _averages(b), values)
    at = np.interp(np.log(length), np.log(SPREAD_LENGTHS_MM), np.arange(len(SPREAD_LENGTHS_MM)))
    low = np.minimum(at.astype(int), len(SPREAD_LENGTHS_MM) - 2)
    part = (at - low)[:, None]
    n = np.arange(len(values))
    return np.asarray((1.0 - part) * table[n, low] + part * table[n, low + 1])


def _averages(b: Batch) -> Floats:
    key = (len(b.r), b.turned)
    if key not in _TABLES:
        L = SPREAD_LENGTHS_MM[:, None, None]
        near = np.exp(-((b.r[:, None] - b.r) ** 2) / (2 * L**2))
        far = np.outer(b.r, b.r) / L**2
        weight = near * (i0e(far) if b.turned else 1.0 + np.exp(-2 * far)) * b.ring
        _TABLES[key] = weight / weight.sum(axis=2, keepdims=True)
    return _TABLES[key]


_TABLES: dict[tuple[int, bool], Floats] = {}

VARIANTS = (
    Variant(
        "column, power", lambda q: lambda b, d: power(column_strain(b, d), np.exp(q[0]), q[1]), (4.0, 1.0)
    ),
    Variant("column, stiffness spread", _spread, (4.0, 1.0, 0.0)),
    Variant(
        "nearest, power", lambda q: lambda b, d: power(free_strain(b, d), np.exp(q[0]), q[1]), (4.0, 1.0)
    ),
    Variant(
        "pressed, power", lambda q: lambda b, d: power(pressed_strain(b, d), np.exp(q[0]), q[1]), (4.0, 1.0)
    ),
    Variant(
        "pressed, stiffening",
        lambda q: lambda b, d: stiffening(pressed_strain(b, d), np.exp(q[0]), np.exp(q[1]), q[2]),
        (4.0, 0.0, 2.0),
    ),
    Variant(
        "pressed, root",
        lambda q: lambda b, d: rooted(pressed_strain(b, d), np.exp(q[0]), np.exp(q[1]), q[2]),
        (3.5, 0.5, 2.5),
    ),
    Variant("pressed, root, thickness", _chosen, (3.5, 0.5, 2.5)),
)
