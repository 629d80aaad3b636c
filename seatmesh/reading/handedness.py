"""Whether left may be right: a scan that was mirrored on its way out of some program, or is inside out, cannot say."""

from __future__ import annotations

import numpy as np
import shapely

from seatmesh.arrays import Floats
from seatmesh.errors import FileRefusedError
from seatmesh.place_words import roughly
from seatmesh.reading.pose.judged.evidence import Evidence
from seatmesh.reading.pose.judged.same_seat import is_nothing
from seatmesh.reading.pose.judged.verdict import holes_tell
from seatmesh.surface import Seat

STEP_MM = 6.0
EDGE_MM = 8.0
UNLIKE_MM = 0.3
OTHER_MM = 1.0
"""No hand that carves by sheets is as far off."""
UP = 0.9
DOWNWARD = -0.5


def is_even(seat: Seat, scatter_mm: float) -> bool:
    """Tell whether a seat is its own mirror image at the centre line, within the scatter of what it was read from."""
    return is_nothing(_right_less_left(seat)[2], 0.3 * scatter_mm)


def check_hand(
    seat: Seat, seen: Evidence, looking_up: float | None, scatter_mm: float, where: str, up_is_given: bool
) -> tuple[str, ...]:
    """Return notes on left and right.

    Raises
    ------
    FileRefusedError
        Left and right of the seat differ, and the scan is mirrored, or may be.
    """
    if is_even(seat, scatter_mm):
        return ()
    if holes_tell(seen.mirrored_holes_found, seen.holes_found):
        raise FileRefusedError(
            f"{where} is mirrored: its mortises are where the order's mirror image has them, and left and right of the "
            "seat differ; mirror it in the program that made it."
        )
    if looking_up is not None and looking_up < UP:
        raise FileRefusedError(
            f"{where}: left and right of the seat differ, and its faces look inward, so that it is inside out or "
            "mirrored; compare it with the wood, then flip its normals or mirror it, in the program that made it."
        )
    if (
        looking_up is None
        and seen.underside_seen < 0.1
        and seen.frame.axes[2, 2] < DOWNWARD
        and not up_is_given
    ):
        raise FileRefusedError(
            f"{where}: left and right of the seat differ, and its points count downward, so that left and right are "
            "swapped unless the seat lay upside down; give heights that count upward, as x, y, z (z up)."
        )
    return (_deeper(seat),)


def check_meant(seat: Seat, meant: Seat, where: str) -> tuple[str, ...]:
    """Return a note where the seat read is far from the one meant, which has the same blank.

    Raises
    ------
    FileRefusedError
        Its mirror image is the seat meant, and it is not.
    """
    x, y, right_less_left = _right_less_left(meant)
    x, y = np.append(x, -x), np.append(y, y)
    deep = meant.depth_mm(x, y)
    off, mirrored = (
        float(np.sqrt(np.mean((seat.depth_mm(side * x, y) - deep) ** 2))) for side in (1.0, -1.0)
    )
    if np.abs(right_less_left).max(initial=0.0) > UNLIKE_MM and off > UNLIKE_MM and mirrored < 0.5 * off:
        raise FileRefusedError(
            f"{where} is mirrored: its mirror image lies {mirrored:.2f} mm off the seat meant, it itself {off:.2f} mm "
            "(rms); mirror it in the program that made it, or give the seat that was carved."
        )
    if off > OTHER_MM:
        return (
            f"the seat read lies {off:.1f} mm off the one meant, rms: see that it is that seat, and not another of the "
            "same blank",
        )
    return ()


def _deeper(seat: Seat) -> str:
    """Return on which side the seat is deeper: what a maker sees at a glance, and a mirrored file has wrong."""
    x, y, off = _right_less_left(seat)
    worst = int(np.argmax(np.abs(off)))
    side, other, sign = ("right", "left", 1.0) if off[worst] > 0.0 else ("left", "right", -1.0)
    return (
        f"the seat is deeper on the sitter's {side} than on the {other}, by up to {abs(off[worst]):.1f} mm "
        f"({roughly(sign * x[worst], y[worst])}); if the wood is deeper on the {other}, the file is mirrored"
    )


def _right_less_left(seat: Seat) -> tuple[Floats, Floats, Floats]:
    """Return places on the right half, and how much deeper the seat is there than at their images on the left."""
    _, rear, right, front = shapely.Polygon(seat.blank.polygon_mm()).bounds
    x, y = np.meshgrid(np.arange(0.5 * STEP_MM, right, STEP_MM), np.arange(rear, front, STEP_MM))
    own = seat.blank.inside_mm(x, y) > EDGE_MM
    if seat.blank.gutter_depth_mm > 0.0:
        # What a scan makes of the gutter's lips is no left or right of the seat's.
        own &= seat.blank.ahead_of_deck_mm(x, y) > seat.blank.gutter_width_mm + EDGE_MM
    x, y = x[own], y[own]
    return x, y, seat.depth_mm(x, y) - seat.depth_mm(-x, y)
