"""What a scan is refused with where no way to lay it is borne out, or several are: what was found, and what to do."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NoReturn

import numpy as np
import shapely

from seatmesh.arrays import Floats
from seatmesh.errors import FileRefusedError, ValueRefusedError
from seatmesh.reading.pose.judged.evidence import Evidence
from seatmesh.reading.pose.judged.verdict import Fault
from seatmesh.reading.pose.toward import TOWARD
from seatmesh.wood.blank import Blank

MOST_SCATTER_MM = 1.0
SOME = 20_000
NEAR_MM, MISSING_MM = 8.0, 25.0


def refuse_no_rim(where: str) -> NoReturn:
    """Refuse a scan without a plane that could be a rim's."""
    raise ValueRefusedError(
        "pose",
        where,
        "no side of it lies flat enough to be the uncut rim and deck of a seat",
        "check that it is this seat; scan again with the deck and the rim",
    )


def refuse_round(where: str) -> NoReturn:
    """Refuse a round outline without a front."""
    raise ValueRefusedError(
        "pose",
        where,
        "the outline is as good as round, and does not tell where the front is",
        "say which way it points in the file's axes: --front=X,Y,Z",
    )


def refuse_directions(where: str) -> NoReturn:
    """Refuse directions that no way to lay the scan points along."""
    raise ValueRefusedError(
        "pose",
        where,
        "no way to lay it on the blank points as --up and --front say",
        "check both directions, which are the file's axes, or leave them out to have them found",
    )


def refuse_against(seen: Evidence, where: str) -> NoReturn:
    """Refuse directions that the scan itself speaks against."""
    up, front = (direction_words(seen.frame.axes[axis]) for axis in (2, 1))
    raise ValueRefusedError(
        "pose",
        where,
        f"it shows its carved face looking along {up} and its front along {front} in the file, against what --up and "
        "--front say",
        "correct them, or leave them out",
    )


def refuse_scatter(scatter_mm: float, where: str) -> None:
    """Refuse a scan whose points scatter too much to tell a hollow from noise.

    Raises
    ------
    FileRefusedError
        With what to do.
    """
    if scatter_mm > MOST_SCATTER_MM:
        raise FileRefusedError(
            f"{where}: its points scatter by {scatter_mm:.1f} mm; allowed is {MOST_SCATTER_MM:g} mm; scan again, from "
            "nearer or with matt spray, or read the seat with a gauge."
        )


def refuse_faults(seen: Evidence, found: Sequence[Fault], where: str, *, given: bool = False) -> NoReturn:
    """Refuse a scan for what speaks against the way that fits it best, or that was given."""
    refuse_scatter(seen.scatter_mm, where)
    words = "; ".join(fault.found for fault in found[:2])
    first = "laid as it was given" if given else "laid on the blank in the way that fits it best"
    raise ValueRefusedError("pose", where, f"{first}, {words}", found[0].todo)


def refuse_unlike(plan: Floats, blank: Blank, where: str) -> NoReturn:
    """Refuse a scan whose outline, places of shape (n, 2), comes near the blank's in no turn."""
    longer, shorter = _size(plan)
    sides = sorted((blank.width_mm, blank.depth_mm))
    missing = max(sides[0] - shorter, sides[1] - longer)
    part = longer < sides[1] + NEAR_MM and shorter < sides[0] + NEAR_MM and missing > MISSING_MM
    what = f", so that {missing:.0f} mm of the seat may be missing in it" if part else ""
    raise ValueRefusedError(
        "pose",
        where,
        f"its outline, {longer:.0f} x {shorter:.0f} mm seen from above, does not fit the blank's, '{blank.outline}' of "
        f"{blank.width_mm:g} x {blank.depth_mm:g} mm, in any turn{what}",
        "give the order of this very seat; check unit and scale, and that the scan is whole and holds nothing else",
    )


def _size(plan: Floats) -> tuple[float, float]:
    """Return the sides of the smallest rectangle round places, the longer first."""
    some = plan[:: max(1, len(plan) // SOME)]
    corners = shapely.get_coordinates(shapely.MultiPoint(some).minimum_rotated_rectangle)
    sides = np.linalg.norm(np.diff(corners[:3], axis=0), axis=1)
    return float(sides.max(initial=0.0)), float(sides.min(initial=np.inf))


def direction_words(axis: Floats) -> str:
    """Return a direction in the file as --front and --up take it."""
    return ",".join(f"{value:g}" for value in np.round(axis, 2) + 0.0)


def refuse_ambiguous(one: Evidence, other: Evidence, where: str) -> NoReturn:
    """Refuse a scan that may lie in either of two ways."""
    same_up = one.frame.axes[2] @ other.frame.axes[2] > TOWARD
    axis, option = (1, "--front") if same_up else (2, "--up")
    a, b = (direction_words(seen.frame.axes[axis]) for seen in (one, other))
    words = (
        f"its front may point along {a} or along {b}: neither outline nor deck tells"
        if same_up
        else f"its carved face may look along {a} or along {b}: nothing in it tells"
    )
    raise ValueRefusedError(
        "pose",
        where,
        f"{words}, and the two make different seats",
        f"say which it is, in the file's axes: {option}={a} or {option}={b}",
    )
