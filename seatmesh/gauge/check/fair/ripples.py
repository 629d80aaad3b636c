"""Ripples that a hand would feel: waves that the readings hold beyond what is fair and beyond chance.

A matched filter: each wave of a few lengths and directions, over each patch, is compared with the readings, weighted by
the inverse covariance of fair surface and noise. Sine and cosine together stand for a wave of any phase; under noise
alone the length of the pair of ratios is a chi variable of two degrees of freedom (Kay 1998, *Fundamentals of
Statistical Signal Processing: Detection Theory*; from memory), and the greatest over all waves is judged by
`seatmesh.gauge.check.fair.greatest_by_chance`.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from seatmesh.arrays import Bools, Floats
from seatmesh.gauge.check.fair.fair_surface import Places, bare_surface, places_key
from seatmesh.gauge.check.fair.greatest_by_chance import chance_limit


@dataclass(frozen=True)
class WaveKind:
    """Waves of one kind: patch, lengths, directions over half a turn, fewest carved readings in it, false alarms."""

    patch_mm: tuple[float, float]
    lengths_mm: tuple[float, ...]
    turns: int
    fewest: int
    false_alarms: float


KINDS = (
    WaveKind((120.0, 120.0), (80.0,), 4, 16, 0.010),
    WaveKind((300.0, 120.0), (64.0, 80.0, 100.0), 4, 40, 0.010),
    WaveKind((120.0, 300.0), (64.0, 80.0, 100.0), 4, 40, 0.010),
)
"""Patches by their length in the wave's direction and along its crests. One and a half waves do not tell 80 mm from 64
or 100 mm, nor directions 20 degrees apart, so a small patch needs few tries; false alarms are shares of clean
carvings."""
STEP_MM = 30.0
MOST = 6
WORTH_MM = 0.25
"""Crest to trough below which no hand feels 80 mm long waves; see `seatmesh.fit.fair.fairness`."""
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
    limit
        (m,): what chance alone makes of the greatest ratio of its kind.
    """

    waves: Floats
    shapes: Floats
    height: Floats
    limit: Floats


_KEPT: OrderedDict[object, Waves] = OrderedDict()


def ripples(
    places: Places,
    values_mm: Floats,
    carved: Bools,
    noise_mm: float,
    fair_ratio: float,
    shared: Floats | None = None,
) -> tuple[Ripple, ...]:
    """Return the ripples in values (n,) at places, the plainest first; patches that overlap tell one ripple.

    `carved` (n,) is where the seat is carved: elsewhere there are none. `noise_mm` is the scatter about the fair
    surface, `fair_ratio` the fair part's variance against the noise's, `shared` (n, n) the covariance of errors that
    readings share, per noise: rows that sit unlike are no ripple.
    """
    tried = _waves(places, carved, fair_ratio, shared)
    if not len(tried.waves):
        return ()
    ratios = tried.shapes @ values_mm / noise_mm
    size = np.sqrt(np.sum(ratios**2, axis=1))
    found: list[Ripple] = []
    for k in np.argsort(-size / tried.limit):
        if size[k] <= tried.limit[k] or len(found) == MOST:
            break
        x, y, length, turn, along, across = tried.waves[k].tolist()
        if any(np.hypot(one.x_mm - x, one.y_mm - y) < APART_MM + 0.25 * (along + across) for one in found):
            continue
        height = 2.0 * noise_mm * float(np.linalg.norm(tried.height[k] @ ratios[k]))
        if height >= WORTH_MM:
            standing = float(size[k]), float(tried.limit[k])
            found.append(Ripple(x, y, length, float(np.degrees(turn)), height, along, across, *standing))
    return tuple(found)


def _waves(places: Places, carved: Bools, fair_ratio: float, shared: Floats | None) -> Waves:
    """Return the waves over places, from what was kept where the same were asked for before."""
    key = (places_key(places), carved.tobytes(), fair_ratio, None if shared is None else shared.tobytes())
    if key not in _KEPT:
        precision = bare_surface(places, np.zeros(len(places.x_mm)), 1.0, fair_ratio, shared).precision
        kinds = [_of_kind(kind, places, carved, precision, shared) for kind in KINDS]
        _KEPT[key] = _together(kinds, len(carved))
        while len(_KEPT) > KEPT:
            _KEPT.popitem(last=False)
    return _KEPT[key]


def _together(parts: Sequence[Waves | None], count: int) -> Waves:
    some = [part for part in parts if part is not None]
    if not some:
        return Waves(np.zeros((0, 6)), np.zeros((0, 2, count)), np.zeros((0, 2, 2)), np.zeros(0))
    fields = ("waves", "shapes", "height", "limit")
    return Waves(*(np.concatenate([getattr(part, name) for part in some]) for name in fields))


def _of_kind(
    kind: WaveKind, places: Places, carved: Bools, precision: Floats, shared: Floats | None
) -> Waves | None:
    waves, pairs = _pairs(kind, places, carved)
    if not waves:
        return None
    both = np.array(pairs)
    weighted = both @ precision
    gram = np.einsum("mkn,mln->mkl", weighted, both)
    # A wave that the fair surface could be, or that the readings cannot see, is none.
    seen = np.linalg.eigvalsh(gram)[:, 0] > 0.1 * np.sum(both**2, axis=(1, 2))
    if not seen.any():
        return None
    half = np.linalg.cholesky(gram[seen])
    shapes = np.linalg.solve(half, weighted[seen])
    height = np.linalg.inv(np.swapaxes(half, 1, 2))
    limit = chance_limit(shapes, precision, kind.false_alarms, shared)
    return Waves(np.array(waves)[seen], shapes, height, np.full(int(seen.sum()), limit))


def _pairs(kind: WaveKind, places: Places, carved: Bools) -> tuple[list[tuple[float, ...]], list[Floats]]:
    x, y = places.x_mm, places.y_mm
    along, across = kind.patch_mm
    waves: list[tuple[float, ...]] = []
    pairs: list[Floats] = []
    for turn in np.pi * np.arange(kind.turns) / kind.turns:
        cosine, sine = np.cos(turn), np.sin(turn)
        for a in np.arange(x.min() + 0.5 * STEP_MM, x.max(), STEP_MM):
            for b in np.arange(y.min() + 0.5 * STEP_MM, y.max(), STEP_MM):
                u = (x - a) * cosine + (y - b) * sine
                v = (y - b) * cosine - (x - a) * sine
                inside = carved & (np.abs(u) <= 0.5 * along) & (np.abs(v) <= 0.5 * across)
                if inside.sum() < kind.fewest:
                    continue
                for length in kind.lengths_mm:
                    phase = 2.0 * np.pi * u / length
                    waves.append((float(a), float(b), length, float(turn), along, across))
                    pairs.append(np.array([np.cos(phase) * inside, np.sin(phase) * inside]))
    return waves, pairs
