"""Drilled wood by brute force, from nothing of the library's: a bit's solid, turned about in space, point by point."""

from __future__ import annotations

import numpy as np
from scipy.spatial.transform import Rotation

ROUND = np.linspace(0.0, 2.0 * np.pi, 24, endpoint=False)


def bit_points(diameter: float, tip: float, base_share: float) -> np.ndarray:
    """Points of the cutting figure, shape (n, 3): x, y and how far below the plane of the cutting edges.

    Cutting edges over the whole diameter, and a cone for a point, `base_share` of the diameter wide at its foot.
    """
    radius = 0.5 * diameter
    rings = [(share * radius, 0.0) for share in (0.0, 0.4, 0.8, 1.0)]
    rings += [(base_share * radius * (1.0 - down), tip * down) for down in (0.3, 0.7, 1.0)]
    return np.array(
        [(away * np.cos(turn), away * np.sin(turn), down) for away, down in rings for turn in ROUND]
    )


def drilled(
    figure: np.ndarray, at: tuple[float, float], stop: float, lean: float, toward: float, pivot: float
):
    """Points of a figure in the frame of the blank, shape (n, 3): x, y and depth below the top face.

    The drill leans by `lean` rad toward a direction of the plan, and its axis passes through the upright one at a
    depth `pivot`; the middle of its cutting edges stands `stop` below the top face.
    """
    turned = Rotation.from_rotvec(lean * np.array([np.cos(toward), np.sin(toward), 0.0])).as_matrix()
    axis = turned @ [0.0, 0.0, 1.0]
    middle = np.array([at[0], at[1], pivot]) + axis * ((stop - pivot) / axis[2])
    return middle + figure @ turned.T


def least_wood(seat, at, diameter: float, tip: float, stop: float, seed: int = 0, tries: int = 8):
    """Least wood that a drill leaves over the seat's surface and over its real underside, mm.

    The drill leans up to 3 degrees to any side, pivots anywhere between the top face and its end, and its stop is
    set up to 0.5 mm too deep; the worst of each is always among them.
    """
    random = np.random.default_rng(seed)
    turns = np.linspace(0.0, 2.0 * np.pi, 12, endpoint=False)
    cases = [(3.0, 0.5, turn, where) for turn in turns for where in (0.0, 1.0)]
    cases += [
        (3.0 * random.uniform() ** 0.3, random.uniform(-0.5, 0.5), random.uniform(0.0, 7.0), random.uniform())
        for _ in range(tries)
    ]
    points = [
        drilled(figure, at, stop + off, np.radians(lean), toward, where * (stop + off))
        for figure in (bit_points(diameter, tip, share) for share in (0.25, 1.0))
        for lean, off, toward, where in cases
    ]
    x, y, depth = np.concatenate(points).T
    over = float((seat.depth_mm(x, y) - depth).min())
    below = seat.blank.thickness_mm - seat.blank.underside_rise_mm(x, y)
    return over, float((below - depth).min())
