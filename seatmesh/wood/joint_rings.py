"""Joints as rings in the plan, for those who draw them."""

from __future__ import annotations

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.wood.joint import ROUND, Joint


def rings_mm(joint: Joint) -> list[Floats]:
    """Return the rings that one side of a joint is drawn by, each (n, 2), not repeated at the end."""
    if joint.kind == "polygon":
        return [np.array(joint.points_mm)]
    middle = np.array(joint.at_mm)
    if joint.kind == "bar":
        turn = np.radians(joint.turn_deg)
        along = 0.5 * joint.length_mm * np.array([np.cos(turn), np.sin(turn)])
        across = 0.5 * joint.width_mm * np.array([-np.sin(turn), np.cos(turn)])
        return [middle + np.array([along + across, along - across, -along - across, -along + across])]
    turns = np.linspace(0.0, 2.0 * np.pi, 49)[:-1]
    return [middle + 0.5 * joint.diameter_mm * np.column_stack([np.cos(turns), np.sin(turns)])]


def axis_run_mm(joint: Joint, depth_mm: float, thickness_mm: float) -> Floats | None:
    """Return the stroke, shape (2, 2), from the face into the wood along a leaning joint's axis; None without a lean.

    `depth_mm` is the blank's, front to rear.
    """
    if joint.angle_deg <= 0.0 or joint.kind not in ROUND:
        return None
    away = np.array(joint.lean(0.5 * depth_mm))
    length = thickness_mm if joint.depth_mm is None else joint.depth_mm
    run = -away * length * np.sin(np.radians(joint.angle_deg))
    return np.asarray(np.array(joint.at_mm) + np.array([[0.0], [1.0]]) * run)
