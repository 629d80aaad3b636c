"""Ripples that a hand would feel: waves that the readings hold beyond what is fair and beyond chance.

A matched filter: each wave of a few lengths and directions, over each patch, is compared with the readings, weighted by
the inverse covariance of fair surface and noise. Sine and cosine together stand for a wave of any phase; under noise
alone the length of the pair of ratios is a chi variable of two degrees of freedom (Kay 1998, *Fundamentals of
Statistical Signal Processing: Detection Theory*; from memory), and the greatest over all waves is judged by
`seatmesh.gauge.clean`.
"""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from seatmesh.gauge.clean import chance_limit
from seatmesh.gauge.fair import Places, bare_surface, places_key

Floats = NDArray[np.float64]

FALSE_ALARMS = 0.035
"""Share of clean carvings in which any ripple may be told."""
LENGTHS_MM = (64.0, 80.0, 105.0)
TURNS = 6
"""Directions tried over half a turn."""
PATCHES_MM = ((120.0, 120.0), (300.0, 120.0), (120.0, 300.0))
"""Lengths of a patch in the wave's direction and along its crests."""
STEP_MM = 30.0
FEWEST = 9
"""Readings that a patch has to hold; four would be enough for a wave to pass through."""
MOST = 6
WORTH_MM = 0.25
"""Crest to trough below which no hand feels 80 mm long waves; see `seatmesh.fit.fairness`."""
APART_MM = 80.0
KEPT = 4


@dataclass(frozen=True)
class Ripple:
    """A wave in the wood.

    Attributes
    ----------
    x_mm, y_mm
        Middle of its patch.
    length_mm
        From crest to crest.
    direction_deg
        Of the way across its crests: 0 to the sitter's right, 90 to the front.
    crest_to_trough_mm
        Height.
    along_mm, across_mm
        Size of its patch in that direction and along the crests.
    ratio, limit
        How far it stands out, in standard deviations, and how far chance alone would make the greatest stand out.
    """

    x_mm: float
    y_mm: float
    length_mm: float
    direction_deg: float
    crest_to_trough_mm: float
    along_mm: float
    across_mm: float
    ratio: float
    limit: float


@dataclass(frozen=True)
class Waves:
    """All waves tried over given places: (x, y, length, direction, patch length, patch width) of each, and weights.

    Attributes
    ----------
    shapes
        (m, 2, n): two ratios of unit variance under noise of unit variance.
    height
        (m, 2, 2): from those ratios to the wave's cosine and sine amplitudes, per noise.
    """

    waves: Floats
    shapes: Floats
    height: Floats
    limit: float


_KEPT: OrderedDict[object, Waves] = OrderedDict()


def ripples(places: Places, values_mm: Floats, noise_mm: float, fair_ratio: float) -> tuple[Ripple, ...]:
    """Return the ripples in values (n,) at places, the plainest first; patches that overlap tell one ripple.

    `noise_mm` is the scatter about the fair surface, `fair_ratio` the fair part's variance against the noise's.
    """
    tried = _waves(places, fair_ratio)
    if not len(tried.waves):
        return ()
    ratios = tried.shapes @ values_mm / noise_mm
    size = np.sqrt(np.sum(ratios**2, axis=1))
    found: list[Ripple] = []
    for k in np.argsort(-size):
        if size[k] <= tried.limit or len(found) == MOST:
            break
        x, y, length, turn, along, across = tried.waves[k].tolist()
        if any(np.hypot(one.x_mm - x, one.y_mm - y) < APART_MM + 0.25 * (along + across) for one in found):
            continue
        height = 2.0 * noise_mm * float(np.linalg.norm(tried.height[k] @ ratios[k]))
        if height >= WORTH_MM:
            found.append(
                Ripple(x, y, length, float(np.degrees(turn)), height, along, across, float(size[k]), tried.limit)
            )
    return tuple(found)


def _waves(places: Places, fair_ratio: float) -> Waves:
    """Return the waves over places, from what was kept where the same were asked for before."""
    key = (places_key(places), fair_ratio)
    if key not in _KEPT:
        _KEPT[key] = _made(places, fair_ratio)
        while len(_KEPT) > KEPT:
            _KEPT.popitem(last=False)
    return _KEPT[key]


def _made(places: Places, fair_ratio: float) -> Waves:
    precision = bare_surface(places, np.zeros(len(places.x_mm)), 1.0, fair_ratio).precision
    waves, pairs = _pairs(places)
    if not waves:
        return Waves(np.zeros((0, 6)), np.zeros((0, 2, 0)), np.zeros((0, 2, 2)), np.inf)
    both = np.array(pairs)
    weighted = both @ precision
    gram = np.einsum("mkn,mln->mkl", weighted, both)
    # A wave that the fair surface could be, or that the readings cannot see, is none.
    seen = np.linalg.eigvalsh(gram)[:, 0] > 0.1 * np.sum(both**2, axis=(1, 2))
    half = np.linalg.cholesky(gram[seen])
    shapes = np.linalg.solve(half, weighted[seen])
    height = np.linalg.inv(np.swapaxes(half, 1, 2))
    limit = chance_limit(shapes, precision, FALSE_ALARMS) if seen.any() else np.inf
    return Waves(np.array(waves)[seen], shapes, height, limit)


def _pairs(places: Places) -> tuple[list[tuple[float, ...]], list[Floats]]:
    x, y = places.x_mm, places.y_mm
    waves: list[tuple[float, ...]] = []
    pairs: list[Floats] = []
    for turn in np.pi * np.arange(TURNS) / TURNS:
        cosine, sine = np.cos(turn), np.sin(turn)
        for along, across in PATCHES_MM:
            for a in np.arange(x.min() + 0.5 * STEP_MM, x.max(), STEP_MM):
                for b in np.arange(y.min() + 0.5 * STEP_MM, y.max(), STEP_MM):
                    u = (x - a) * cosine + (y - b) * sine
                    v = (y - b) * cosine - (x - a) * sine
                    inside = (np.abs(u) <= 0.5 * along) & (np.abs(v) <= 0.5 * across)
                    if inside.sum() < FEWEST:
                        continue
                    for length in LENGTHS_MM:
                        phase = 2.0 * np.pi * u / length
                        waves.append((float(a), float(b), length, float(turn), along, across))
                        pairs.append(np.array([np.cos(phase) * inside, np.sin(phase) * inside]))
    return waves, pairs
