"""Closed curves of the plan as a CAD kernel takes them: straight lines, and one B-spline for each smooth stretch."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import numpy as np
from scipy.interpolate import BSpline, make_interp_spline

from seatmesh.arrays import Floats

STRAIGHT_SHARE = 1e-9
LONGEST_CHORD_MM = 4.0
"""A longer side is meant to be straight: curves come as chords of half of this."""

SHARPEST_RAD = 0.35
"""A greater turn between chords is a corner."""

FEWEST_CHORDS = 4
MOST_CHORDS = 50
"""In one curve: along longer ones the kernel measures areas some thousandths wrong."""


def corners_only(ring_mm: Floats) -> Floats:
    """Return a ring without points on straight lines: they would cut a flat wall in two."""
    before, after = ring_mm - np.roll(ring_mm, 1, axis=0), np.roll(ring_mm, -1, axis=0) - ring_mm
    turn = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    size = np.linalg.norm(before, axis=1) * np.linalg.norm(after, axis=1)
    return np.asarray(ring_mm[np.abs(turn) > STRAIGHT_SHARE * size])


def stretches(ring_mm: Floats) -> tuple[Floats, ...]:
    """Return a closed ring as chains, one after the other: two points for a straight side, more for a smooth curve.

    `ring_mm`, shape (n, 2), does not repeat its first point; a ring that is smooth all round becomes two chains.
    """
    ring = corners_only(ring_mm)
    side = np.roll(ring, -1, axis=0) - ring
    length = np.linalg.norm(side, axis=1)
    before = np.roll(side, 1, axis=0)
    turn = np.arctan2(
        before[:, 0] * side[:, 1] - before[:, 1] * side[:, 0], np.einsum("ij,ij->i", before, side)
    )
    curved = length <= LONGEST_CHORD_MM
    # A chain breaks at a corner, and wherever a straight side begins or ends.
    breaks = (np.abs(turn) > SHARPEST_RAD) | ~curved | ~np.roll(curved, 1)
    stops = np.flatnonzero(breaks)
    if len(stops) < 2:
        first = int(stops[0]) if len(stops) else 0
        stops = np.sort(np.array([first, (first + len(ring) // 2) % len(ring)]))
    chains = []
    for start, end in zip(stops, np.append(stops[1:], stops[0] + len(ring)), strict=True):
        chain = ring[np.arange(start, end + 1) % len(ring)]
        if len(chain) > FEWEST_CHORDS:
            chains.append(chain)
        else:
            chains += [chain[i : i + 2] for i in range(len(chain) - 1)]
    return tuple(chains)


def smooth_through(chain_mm: Floats, before: Floats, after: Floats) -> tuple[BSpline, ...]:
    """Return the cubic spline through a chain's points, over their summed chords, in pieces end to end.

    At its ends it takes the directions of the neighbouring chains, shapes (2,), where these run on without a corner.
    """
    chords = np.linalg.norm(np.diff(chain_mm, axis=0), axis=1)
    at = np.concatenate([[0.0], np.cumsum(chords)])
    own = np.diff(chain_mm, axis=0)[[0, -1]] / chords[[0, -1], None]
    ends: list[Any] = []
    for direction, chord in ((before, own[0]), (after, own[1])):
        unit = direction / np.linalg.norm(direction)
        ends.append([(1, unit)] if float(unit @ chord) > np.cos(SHARPEST_RAD) else [(2, np.zeros(2))])
    whole = _spline(at, chain_mm, ends[0], ends[1])
    slope = whole.derivative()
    count = math.ceil((len(at) - 1) / MOST_CHORDS)
    stops = np.linspace(0, len(at) - 1, count + 1).round().astype(int)
    # A piece that meets the whole's points and its directions at the ends is the whole's own.
    return tuple(
        _spline(at[i : j + 1], chain_mm[i : j + 1], [(1, slope(at[i]))], [(1, slope(at[j]))])
        for i, j in pairwise(stops.tolist())
    )


def _spline(at: Floats, points: Floats, start: Any, end: Any) -> BSpline:
    """Return the cubic spline with given derivatives at its ends, which the library's own types leave out."""
    ends: Any = (start, end)
    return make_interp_spline(at, points, 3, bc_type=ends)
