"""Closed curves of the plan as a CAD kernel takes them: lines, arcs, and a B-spline for any other smooth stretch.

An outline is kept as a polygon. Whose corners lie on one circle was drawn as an arc, and is one again.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import numpy as np
from scipy.interpolate import BSpline, make_interp_spline

from seatmesh.arrays import Floats, Ints

STRAIGHT_SHARE = 1e-9
LONGEST_CHORD_MM = 4.0
"""A longer side is meant to be straight: curves come as chords of half of this."""

SHARPEST_RAD = 0.35
"""A greater turn between chords is a corner."""

ON_CIRCLE_MM, SAME_CENTRE_MM = 1e-6, 1e-3
"""How far points of an arc may lie off its circle, and the middles of the circles through three of them apart."""

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

    An arc is a chain of its own, whatever runs on from it smoothly. `ring_mm`, shape (n, 2), does not repeat its first
    point; a ring that is smooth all round becomes two chains.
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
            chains += _arcs_apart(chain)
        else:
            chains += [chain[i : i + 2] for i in range(len(chain) - 1)]
    return tuple(chains)


def circle_of(chain_mm: Floats) -> tuple[Floats, float] | None:
    """Return centre, shape (2,), and radius of the circle that all points of a chain lie on; None without one."""
    if len(chain_mm) <= FEWEST_CHORDS:
        return None
    centre = _centres(chain_mm[[0, len(chain_mm) // 2, -1]])[0]
    if not np.all(np.isfinite(centre)):
        return None
    reach = np.linalg.norm(chain_mm - centre, axis=1)
    return (centre, float(reach[0])) if float(np.ptp(reach)) <= ON_CIRCLE_MM else None


def end_directions(chain_mm: Floats) -> tuple[Floats, Floats]:
    """Return in which directions a chain sets out and arrives, shapes (2,): along its circle where it has one."""
    first, last = chain_mm[1] - chain_mm[0], chain_mm[-1] - chain_mm[-2]
    circle = circle_of(chain_mm)
    if circle is None:
        return first, last
    return _along_circle(chain_mm[0], circle[0], first), _along_circle(chain_mm[-1], circle[0], last)


def _along_circle(at: Floats, centre: Floats, chord: Floats) -> Floats:
    outward = at - centre
    along = np.array([-outward[1], outward[0]])
    return along * np.sign(along @ chord)


def _centres(chain: Floats) -> Floats:
    """Return the middle of the circle through each three points that follow one another, not finite on a line."""
    a, b, c = chain[:-2], chain[1:-1], chain[2:]
    u, v = b - a, c - a
    twice = 2.0 * (u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0])
    uu, vv = (u**2).sum(axis=1), (v**2).sum(axis=1)
    with np.errstate(divide="ignore", invalid="ignore"):
        x = (v[:, 1] * uu - u[:, 1] * vv) / twice
        y = (u[:, 0] * vv - v[:, 0] * uu) / twice
    return np.asarray(a + np.column_stack([x, y]))


def _arcs_apart(chain: Floats) -> list[Floats]:
    """Return a smooth chain cut where an arc begins or ends."""
    centres = _centres(chain)
    same = np.linalg.norm(np.diff(centres, axis=0), axis=1) < SAME_CENTRE_MM
    pieces, start, i = [], 0, 0
    while i < len(same):
        if not same[i]:
            i += 1
            continue
        end = i
        while end < len(same) and same[end]:
            end += 1
        # Centres i to `end` are alike: points i to `end` + 2 lie on one circle.
        if end + 2 - i >= FEWEST_CHORDS and circle_of(chain[i : end + 3]) is not None:
            if i > start:
                pieces.append(chain[start : i + 1])
            pieces.append(chain[i : end + 3])
            start = end + 2
        i = end + 1
    if start < len(chain) - 1:
        pieces.append(chain[start:])
    return pieces


def smooth_through(
    chain_mm: Floats, before: Floats, after: Floats, near_mm: float = 0.0
) -> tuple[BSpline, ...]:
    """Return a cubic spline past a chain's points, over their summed chords, in pieces end to end.

    It passes all points within `near_mm`: with 0 it goes through each of them.

    At its ends it takes the directions of the neighbouring chains, shapes (2,), where these run on without a corner.
    """
    chords = np.linalg.norm(np.diff(chain_mm, axis=0), axis=1)
    at = np.concatenate([[0.0], np.cumsum(chords)])
    own = np.diff(chain_mm, axis=0)[[0, -1]] / chords[[0, -1], None]
    ends: list[Any] = []
    for direction, chord in ((before, own[0]), (after, own[1])):
        unit = direction / np.linalg.norm(direction)
        ends.append([(1, unit)] if float(unit @ chord) > np.cos(SHARPEST_RAD) else [(2, np.zeros(2))])
    nodes, whole = _thinned(at, chain_mm, ends[0], ends[1], near_mm)
    slope = whole.derivative()
    count = math.ceil((len(nodes) - 1) / MOST_CHORDS)
    stops = np.linspace(0, len(nodes) - 1, count + 1).round().astype(int)
    # A piece that meets the whole's points and its directions at the ends is the whole's own.
    return tuple(
        _spline(own, chain_mm[nodes[i : j + 1]], [(1, slope(own[0]))], [(1, slope(own[-1]))])
        for i, j in pairwise(stops.tolist())
        for own in (at[nodes[i : j + 1]],)
    )


def _thinned(at: Floats, points: Floats, start: Any, end: Any, near_mm: float) -> tuple[Ints, BSpline]:
    """Return a spline that meets all points within a length, and which of them it goes through, ends among them.

    The kernel's time goes with the spans of its curves, and far more than in proportion.
    """
    nodes = np.unique(np.linspace(0, len(at) - 1, FEWEST_CHORDS).round().astype(np.int64))
    while True:
        spline = _spline(at[nodes], points[nodes], start, end)
        off = np.linalg.norm(spline(at) - points, axis=1)
        if len(nodes) == len(at) or off.max() <= near_mm:
            return nodes, spline
        worst = [a + int(np.argmax(off[a : b + 1])) for a, b in pairwise(nodes.tolist())]
        nodes = np.unique(np.concatenate([nodes, [one for one in worst if off[one] > near_mm]]))


def _spline(at: Floats, points: Floats, start: Any, end: Any) -> BSpline:
    """Return the cubic spline with given derivatives at its ends, which the library's own types leave out."""
    ends: Any = (start, end)
    return make_interp_spline(at, points, 3, bc_type=ends)
