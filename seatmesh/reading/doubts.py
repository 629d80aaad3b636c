"""Doubts that stop a reading: too little seen, a face that no seat can follow, a face that may be the wrong one."""

from __future__ import annotations

import numpy as np

from seatmesh.errors import FileRefusedError
from seatmesh.place_words import roughly
from seatmesh.reading.left_out import Patch
from seatmesh.reading.pose.judged.evidence import Evidence, Plan
from seatmesh.reading.pose.toward import Toward
from seatmesh.reading.quality.coverage import coverage
from seatmesh.reading.surface_points import Face
from seatmesh.wood.blank import Blank
from seatmesh.wood.outline.shapes import area_mm2

LEAST_COVERAGE = 0.9
WIDEST_HOLE_MM = 60.0
LARGE_PATCH_MM2 = 400.0
MOST_LARGE, MOST_LEFT_OUT = 0.005, 0.04
"""Of the blank's plan: large patches left out, and all of them. Small ones are spikes of a scan, or narrow holes."""
FLAT_MM = 0.3


def covered(face: Face, plan: Plan, where: str) -> tuple[float, float]:
    """Return which share of the face was seen, and the widest hole in it, or refuse too little."""
    share, hole, middle = coverage(face, plan.blank, plan.places.above)
    if share < LEAST_COVERAGE:
        raise FileRefusedError(
            f"{where} shows {100.0 * share:.0f} % of the carved face; at least {100.0 * LEAST_COVERAGE:.0f} % are "
            "needed; scan again what is missing, and check unit and blank."
        )
    if hole > WIDEST_HOLE_MM:
        raise FileRefusedError(
            f"{where} has a hole {hole:.0f} mm across ({roughly(*middle)}); allowed are {WIDEST_HOLE_MM:g} mm; "
            "scan again what is missing."
        )
    return share, hole


def refuse_unlike_seat(left_out: tuple[Patch, ...], blank: Blank, where: str) -> None:
    """Refuse a face of which more than a little is none that a seat read back can have."""
    area = sum(patch.area_mm2 for patch in left_out)
    large = sum(patch.area_mm2 for patch in left_out if patch.area_mm2 > LARGE_PATCH_MM2)
    whole = area_mm2(blank.polygon_mm())
    if large > MOST_LARGE * whole or area > MOST_LEFT_OUT * whole:
        raise FileRefusedError(
            f"{where}: over {area / 100.0:.0f} cm2 the face cannot be followed ({left_out[0].words()}); check that "
            "deck line, gutter, round-over and joints stand in the order, and take off what lies on the seat."
        )


def refuse_one_flat_face(face: Face, seen: Evidence, toward: Toward, where: str) -> None:
    """Refuse a flat face where nobody can know whether it is the carved one."""
    if toward.up is None and seen.thickness_mm is None and np.quantile(face.depth_mm, 0.99) < FLAT_MM:
        raise FileRefusedError(
            f"{where} shows one face only, and nothing is carved in it: it may be the underside; scan the other face, "
            "or say which way is up in the file's axes: --up X,Y,Z."
        )
