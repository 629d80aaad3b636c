"""What a maker should look at on a seat that was read back, in words."""

from __future__ import annotations

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.place_words import roughly
from seatmesh.reading.doubts import FLAT_MM
from seatmesh.reading.face_fit import FaceFit
from seatmesh.reading.pose.judged.evidence import Evidence
from seatmesh.reading.surface_points import Face
from seatmesh.surface import Seat
from seatmesh.wood.blank import Blank

WIDE_HOLE_MM = 30.0
OUTLINE_MM, THICKNESS_MM, DECK_MM = 0.4, 0.3, 0.15
UNDERSIDE_OFF = 0.05
TOO_DEEP_MM = 0.05
ERROR_MM = 0.02
BENEATH_MM = 5.0


def notes_on(seat: Seat, face: Face, hole: float, fit: FaceFit, seen: Evidence) -> tuple[str, ...]:
    """Return what a maker should look at."""
    notes, blank = [], seat.blank
    depth = seat.depth_mm(face.x_mm, face.y_mm)
    deepest = float(depth.max())
    if deepest < FLAT_MM:
        notes.append("nothing is carved in this blank")
    short = depth - blank.allowed_depth_mm(face.x_mm, face.y_mm)
    worst = int(np.argmax(short))
    if short[worst] > TOO_DEEP_MM:
        notes.append(
            f"{short[worst]:.1f} mm too deep for floor, bevel and joints "
            f"({roughly(face.x_mm[worst], face.y_mm[worst])})"
        )
    if hole > WIDE_HOLE_MM:
        notes.append(f"a hole of {hole:.0f} mm was bridged: check the depth there with a gauge")
    if seen.deck_rms_mm is None:
        notes.append("the blank has no deck to check the level by: check a few depths with a gauge")
    elif seen.deck_rms_mm > DECK_MM + seen.scatter_mm:
        notes.append(f"the deck lies {seen.deck_rms_mm:.1f} mm off the rim's plane, rms")
    if seen.outline.off_mm > OUTLINE_MM + seen.scatter_mm:
        notes.append(f"the outline lies {seen.outline.off_mm:.1f} mm off the blank's, rms")
    if seen.thickness_mm is None:
        notes.append("the underside was not seen: thickness and floor are the order's word")
    elif abs(seen.thickness_mm - blank.thickness_mm) > THICKNESS_MM:
        notes.append(f"the scan is {seen.thickness_mm:.1f} mm thick, the blank {blank.thickness_mm:g} mm")
    if (seen.underside_off or 0.0) > UNDERSIDE_OFF:
        notes.append(
            f"{seen.underside_off:.0%} of the underside is not where the order has it: the floor there is less or more"
        )
    if fit.error_mm > ERROR_MM:
        notes.append(
            f"its points scatter by {fit.sigma_mm:.1f} mm, so that its depths are, by that alone, sure within "
            f"{2.0 * fit.error_mm:.2f} "
            "mm in most places, and less so beside crisp edges"
        )
    if not fit.settled:
        notes.append("the fit had not quite come to rest; compare a few depths with a gauge")
    return tuple(notes)


def beneath_notes(laid_mm: Floats, blank: Blank) -> tuple[str, ...]:
    """Say that a scan shows more under the blank than its wood: a stand, legs, or another seat; `laid_mm` (n, 3)."""
    over = np.hypot(laid_mm[:, 0], laid_mm[:, 1] - 0.5 * blank.depth_mm) < 0.5 * max(
        blank.width_mm, blank.depth_mm
    )
    under = float(-laid_mm[over, 2].min(initial=0.0)) - blank.thickness_mm
    if under <= BENEATH_MM:
        return ()
    return (
        f"the file holds more under the seat, down to {under:.0f} mm under its lower face: a stand, legs or another "
        "seat; only the uppermost surface was read, so see that it is the one you mean",
    )
