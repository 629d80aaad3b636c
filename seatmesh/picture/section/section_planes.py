"""Which sections a sheet of them shows: the seat's own stations, and where the sitter's bones press."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from seatmesh.seating.sitting import Sitting
from seatmesh.station import Station, stations
from seatmesh.surface import Seat

NEAR_MM = 2.5
"""A bone that lies no farther from a lettered station is shown there: stations stand on whole 5 mm."""


def section_planes(seat: Seat, sitting: Sitting | None) -> tuple[Station, ...]:
    """Return three sections across, from the deepest line or the sit bones forward, and two along.

    Those through the sit bones take the place of those through the deepest line and the deepest place. They bear
    the bones' name: a letter is the seat's own, and means one place on every sheet.
    """
    own = stations(seat)
    # The rearmost one across stands ahead of the deck, where little is carved and nobody sits.
    across = [one for one in own if one.runs == "across"][-3:]
    along = sorted((one for one in own if one.runs == "along"), key=lambda one: abs(one.at_mm))[:2]
    bone = _sit_bone(sitting)
    if bone is not None:
        x, y = bone
        across[0] = _through(own, Station("sit bones", "across", y, "through the sit bones"))
        along[1:] = [_through(own, Station("sit bone", "along", x, "through the sit bone"))]
    return (*sorted(across, key=lambda one: one.at_mm), *along)


def _through(own: tuple[Station, ...], bones: Station) -> Station:
    """Return a station through the bones: a lettered one that stands there already, else their own."""
    there = [one for one in own if one.runs == bones.runs and abs(one.at_mm - bones.at_mm) <= NEAR_MM]
    return replace(there[0], words=f"{there[0].words}, and {bones.words}") if there else bones


def _sit_bone(sitting: Sitting | None) -> tuple[float, float] | None:
    """Return x and y of the lowest bone, which is a sit bone; the right one of two alike."""
    if sitting is None or not np.isfinite(sitting.bone_mm).any():
        return None
    bone = np.where(np.isfinite(sitting.bone_mm), sitting.bone_mm, np.inf)
    # Rounded, so that of two sides alike but for the last bits the right one is taken on any machine.
    bone = np.round(bone, 6)
    rows, columns = np.nonzero(bone == bone.min())
    best = int(np.argmax(sitting.x_mm[columns]))
    return float(round(sitting.x_mm[columns[best]])), float(round(sitting.y_mm[rows[best]]))
