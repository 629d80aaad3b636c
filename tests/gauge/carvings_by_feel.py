"""Carvings that no spline drew, read by bars that sit as bars do, with scatter of several kinds.

Nothing here is made of what the copy assumes: hollows are powers, ridges, lumps and the marks of a gouge; bars bend by
a quartic under their own weight and sit off by what has a flat or a two-humped spread; scatter is rounded,
heavy-tailed, drifting along a bar, drifting over the wood, or that of a rod that sticks.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from seatmesh.gauge.readings.readings_file import Row
from seatmesh.wood.blank import Blank

Floats = NDArray[np.float64]
DATUM_MM = 65.0
SCATTERS = (
    "plain",
    "heavy tails",
    "rounded",
    "drifts along the bar",
    "drifts over the wood",
    "the rod sticks",
)


@dataclass(frozen=True)
class Carving:
    """A hollow carved by feel."""

    blank: Blank
    depth_mm: Callable[[Floats, Floats], Floats]


@dataclass(frozen=True)
class Bars:
    """How badly bars sit: what all have in common, and how far single ones are off."""

    height_mm: float = 0.5
    tilt_deg: float = 0.15
    sag_mm: float = 0.4
    own_height_mm: float = 0.5
    own_tilt_deg: float = 0.1


def carving(rng: np.random.Generator, blank: Blank | None = None, wider: float = 1.0) -> Carving:
    """A hollow with two sides that differ, a ridge between the thighs or none, lumps, and tool marks or none.

    One that is `wider` runs out over the sides, so that rows have no uncut wood at their ends.
    """
    blank = blank or Blank()
    deepest, middle_y = rng.uniform(8.0, 20.0), rng.uniform(120.0, 165.0)
    wide, rear, front = (
        rng.uniform(180.0, 224.0),
        middle_y - rng.uniform(58.0, 75.0),
        rng.uniform(290.0, 380.0),
    )
    power, middle_x, skew, twist = (
        rng.uniform(1.8, 3.0),
        rng.normal(0, 5),
        rng.normal(0, 1.0),
        rng.normal(0, 0.6),
    )
    ridge = (
        rng.choice([0.0, rng.uniform(3.0, 9.0)]),
        rng.uniform(25, 38),
        rng.uniform(240, 300),
        rng.uniform(14, 25),
    )
    cheeks, apart = rng.uniform(0.0, 2.5), rng.uniform(55.0, 75.0)
    lumps = [
        (rng.uniform(-120, 120), rng.uniform(100, 330), rng.uniform(25, 60), rng.normal(0, 0.5))
        for _ in range(4)
    ]
    marks, pitch, way, start = (
        rng.choice([0.0, 0.1, 0.3]),
        rng.uniform(14, 35),
        rng.uniform(0, np.pi),
        rng.uniform(0, 6),
    )

    def depth(x: Floats, y: Floats) -> Floats:
        u, v = x - middle_x, y - middle_y
        along = np.where(v < 0.0, -v / rear, v / front)
        hollow = deepest * (1.0 - along**power - np.abs(u / wide) ** power)
        hollow = hollow + skew * np.tanh(u / 70.0) + twist * u * (y - 200.0) / 18000.0
        hollow = hollow - ridge[0] * np.exp(-((u / ridge[1]) ** 2)) / (
            1.0 + np.exp(-(y - ridge[2]) / ridge[3])
        )
        for side in (-1.0, 1.0):
            hollow = hollow + cheeks * np.exp(-((u - side * apart) ** 2 + v**2) / 3200.0)
        for at_x, at_y, size, amount in lumps:
            hollow = hollow + amount * np.exp(-((x - at_x) ** 2 + (y - at_y) ** 2) / (2.0 * size**2))
        # A gouge leaves hollows side by side with sharp ridges between.
        scallop = marks * (
            np.abs(np.sin(np.pi * (x * np.cos(way) + y * np.sin(way)) / pitch + start)) - 2.0 / np.pi
        )
        carved = (blank.ahead_of_deck_mm(x, y) > 0.0) & (hollow > 0.0)
        return np.asarray(np.where(carved, np.maximum(hollow + scallop, 0.0), 0.0))

    return Carving(blank, depth)


def what_bars_add(rng: np.random.Generator, along: Floats, line: Floats, reach: float, worst: Bars) -> Floats:
    """What each setting down of the bar adds, one for each line of crossings; `along` counts from the bar's middle."""
    either = rng.choice([-1.0, 1.0], 3)
    height = either[0] * rng.uniform(0.0, worst.height_mm) + either[0] * 0.3 * worst.height_mm
    tilt, sag = either[1] * rng.uniform(0.0, worst.tilt_deg), either[2] * rng.uniform(0.0, worst.sag_mm)
    t = np.clip(0.5 + 0.5 * along / reach, 0.0, 1.0)
    # A beam on two supports under its own weight, 1 in its middle.
    added = height + np.tan(np.radians(tilt)) * along - sag * 3.2 * (t - 2.0 * t**3 + t**4)
    for one in np.unique(np.round(line)):
        here = np.round(line) == one
        own = rng.uniform(-1.0, 1.0) * worst.own_height_mm
        added[here] += own + np.tan(np.radians(rng.uniform(-1.0, 1.0) * worst.own_tilt_deg)) * along[here]
    return np.asarray(added)


def scatter(rng: np.random.Generator, kind: str, x: Floats, y: Floats) -> Floats:
    """Scatter of readings; 0.1 to 0.3 mm."""
    size, n = rng.uniform(0.1, 0.3), len(x)
    if kind == "heavy tails":
        return np.asarray(size * rng.standard_t(4, n) / np.sqrt(2.0))
    if kind == "rounded":
        return np.asarray(np.round(rng.normal(0.0, 0.3, n) / 0.5) * 0.5 * 0.7 + rng.normal(0.0, 0.1, n))
    if kind == "the rod sticks":
        return np.asarray(rng.normal(0.0, 0.15, n) - 0.3 * (rng.uniform(size=n) < 0.3))
    across, away = np.abs(np.subtract.outer(x, x)), np.abs(np.subtract.outer(y, y))
    if kind == "drifts along the bar":
        shared = np.exp(-across / rng.uniform(20.0, 70.0)) * (away < 1.0)
        return np.asarray(0.8 * size * _drawn(rng, shared) + rng.normal(0.0, 0.1, n))
    if kind == "drifts over the wood":
        shared = np.exp(-0.5 * (across**2 + away**2) / rng.uniform(30.0, 60.0) ** 2)
        return np.asarray(0.5 * size * _drawn(rng, shared) + rng.normal(0.0, size, n))
    return rng.normal(0.0, size, n)


def readings(
    rng: np.random.Generator,
    crossings: tuple[Floats, Floats],
    one: Carving,
    kind: str,
    worst: Bars,
    lie: str = "across",
) -> tuple[Row, ...]:
    """Rows of a sheet of the flat blank, read over a carving."""
    x, y = crossings
    along, line = (x, y) if lie == "across" else (y - 0.5 * one.blank.depth_mm, x)
    reach = 0.5 * (one.blank.width_mm if lie == "across" else one.blank.depth_mm)
    read = (
        DATUM_MM
        + one.depth_mm(x, y)
        + what_bars_add(rng, along, line, reach, worst)
        + scatter(rng, kind, x, y)
    )
    return tuple(
        Row(k + 2, k + 1, float(x[k]), float(y[k]), DATUM_MM, float(read[k]), DATUM_MM) for k in range(len(x))
    )


def _drawn(rng: np.random.Generator, covariance: Floats) -> Floats:
    n = len(covariance)
    return np.asarray(np.linalg.cholesky(covariance + 1e-6 * np.eye(n)) @ rng.normal(size=n))
