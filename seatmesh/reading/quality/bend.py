"""How bent a scan shows the uncut wood of deck and rim: its hollow is as bent; front to back the deck cannot tell."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seatmesh.arrays import Bools, Floats
from seatmesh.reading.pose.judged.evidence import Plan
from seatmesh.reading.pose.layers import cells, layers
from seatmesh.reading.pose.level import Raster

BAND_MM, BAND_SIGMAS, LEAST_BAND_MM = 1.0, 3.0, 0.03
"""Uncut wood of a bent scan lies as near to its plane at first, and then to the bent surface through it."""
ROUNDS = 10
DECK_LINE_MM = 2.0
EDGE_MM, EDGE_SIGMAS = 3.0, 3.0
BLOCK_MM = 24.0
"""The errors of cells nearer to one another are alike."""
FEWEST_BLOCKS = 20
GRID_MM = 8.0
DEEP_MM = 10.0


@dataclass(frozen=True)
class Bend:
    """A bend of the second degree, and what it makes of the depths of the whole face, mm rms.

    Attributes
    ----------
    mm
        From the plane of the uncut wood that was seen.
    error_mm
        Standard error of that; infinite where too little uncut wood was seen.
    waves_mm
        What the uncut wood does beside, rms of blocks.
    """

    mm: float = 0.0
    error_mm: float = np.inf
    waves_mm: float = 0.0


def bend(laid: Floats, plan: Plan, roll_start_mm: float, scatter_mm: float) -> Bend:
    """Return the bend of deck and rim.

    Parameters
    ----------
    laid
        The scan's own points in the frame of the blank, shape (n, 3), mm.
    roll_start_mm
        Where the front roll begins: ahead of it no wood is level.
    """
    top = layers(laid[np.abs(laid[:, 2]) < DEEP_MM], plan.cell_mm).top
    edge = plan.blank.round_over_mm + max(EDGE_MM, EDGE_SIGMAS * scatter_mm)
    top = top[(plan.inside_mm(top) > edge) & (top[:, 1] < roll_start_mm)]
    if len(top) < FEWEST_BLOCKS:
        return Bend()
    uncut = top[_uncut(top, plan, scatter_mm)]
    blocks = _blocks(uncut)
    if len(blocks) < FEWEST_BLOCKS:
        return Bend()
    rows = _rows(blocks[:, :2], plan)
    terms, _, rank, _ = np.linalg.lstsq(rows, blocks[:, 2], rcond=1e-6)
    if rank < rows.shape[1]:
        return Bend()
    off = blocks[:, 2] - rows @ terms
    variance = float(off @ off) / (len(blocks) - rows.shape[1])
    spread = variance * np.linalg.inv(rows.T @ rows)
    # A bend is what is left of the terms beside the plane that levelling takes away.
    face = _beside_plane(rows, _rows(_face(plan), plan))
    found = float(np.mean((face @ terms[3:]) ** 2))
    error = float(np.mean(np.einsum("ij,jk,ik->i", face, spread[3:, 3:], face)))
    return Bend(float(np.sqrt(max(0.0, found - error))), float(np.sqrt(error)), float(np.sqrt(variance)))


def _uncut(top: Floats, plan: Plan, scatter_mm: float) -> Bools:
    """Tell which cells show the deck, or rim that is clear of the hollow's edge: they lie on one bent surface."""
    raster, rows = Raster(top, plan.cell_mm), _rows(top, plan)
    deck = plan.on_deck(top)
    level = np.abs(plan.ahead_mm(top)) > DECK_LINE_MM
    band, surface, own = BAND_MM + BAND_SIGMAS * scatter_mm, np.zeros(rows.shape[1]), deck
    for _ in range(ROUNDS):
        off = np.abs(top[:, 2] - rows @ surface)
        own = level & (off < band) & (deck | ~raster.beside(off >= band))
        if np.count_nonzero(own) < FEWEST_BLOCKS:
            return own
        surface = np.linalg.lstsq(rows[own], top[own, 2], rcond=1e-6)[0]
        spread = 1.4826 * float(np.median(np.abs(top[own, 2] - rows[own] @ surface)))
        band = max(LEAST_BAND_MM, min(band, BAND_SIGMAS * spread))
    return own


def _blocks(points: Floats) -> Floats:
    """Return the means of points over wide blocks, shape (m, 3)."""
    block = cells(points[:, :2], BLOCK_MM)
    number = np.unique(block[:, 0] * (block[:, 1].max() + 1) + block[:, 1], return_inverse=True)[1]
    count = np.bincount(number)
    sums = [np.bincount(number, weights=points[:, k]) for k in range(3)]
    return np.column_stack(sums)[count > 1] / count[count > 1, None]


def _rows(places: Floats, plan: Plan) -> Floats:
    x, y = places[:, 0] / (0.5 * plan.blank.width_mm), places[:, 1] / (0.5 * plan.blank.depth_mm) - 1.0
    return np.column_stack([np.ones(len(x)), x, y, x * x, x * y, y * y])


def _face(plan: Plan) -> Floats:
    polygon = plan.blank.polygon_mm()
    (left, rear), (right, front) = polygon.min(axis=0), polygon.max(axis=0)
    x, y = np.meshgrid(np.arange(left, right, GRID_MM), np.arange(rear, front, GRID_MM))
    places = np.column_stack([x.ravel(), y.ravel()])
    inside = plan.blank.inside_mm(places[:, 0], places[:, 1]) > 0.0
    return np.asarray(places[inside & (plan.blank.ahead_of_deck_mm(places[:, 0], places[:, 1]) > 0.0)])


def _beside_plane(uncut: Floats, face: Floats) -> Floats:
    """Return the bending terms at places of the face, less the plane through each of them over the uncut wood."""
    planes = np.linalg.lstsq(uncut[:, :3], uncut[:, 3:], rcond=None)[0]
    return np.asarray(face[:, 3:] - face[:, :3] @ planes)
