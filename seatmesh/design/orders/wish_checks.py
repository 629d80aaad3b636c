"""Orders whose wishes contradict the wood or one another: refused, with the nearest pair that would work."""

from __future__ import annotations

import numpy as np

from seatmesh.body.body import Body
from seatmesh.errors import ValueRefusedError
from seatmesh.fit.wished.wishes import Wishes
from seatmesh.front_roll import front_roll_depth, roll_length_mm, roll_radius_mm
from seatmesh.wood.blank import Blank

ROUNDED_MM = 1e-9
"""A value advised in a refusal is taken, however it was rounded."""
LEAST_HALF_HOLLOW_MM = 120.0
"""Half the width of a hollow that a small adult's buttocks still meet; common practice, from memory."""


def check_wishes(blank: Blank, wishes: Wishes) -> None:
    """Refuse wishes that the wood, or one another, leave no room for.

    Raises
    ------
    ValueRefusedError
        It names both values and the nearest pair that would work.
    """
    _check_floor(blank, wishes)
    _check_roll(blank, wishes)
    _check_roll_length(blank, wishes)
    _check_pommel(blank, wishes)
    _check_deepest_line(blank, wishes)
    _check_rim(blank, wishes)


def depth_words(depth_mm: float, wishes: Wishes) -> str:
    """Return the words for a hollow of another depth, with the lower pommel that it then takes."""
    lower = f" with pommel_mm = {depth_mm:g}" if wishes.pommel_mm > depth_mm > 0.0 else ""
    return f"depth_mm = {depth_mm:g}{lower}"


def _check_pommel(blank: Blank, wishes: Wishes) -> None:
    if wishes.pommel_mm > max(wishes.depth_mm, 0.0) > 0:
        deeper = (
            f", or depth_mm = {wishes.pommel_mm:g}" if wishes.pommel_mm <= blank.greatest_depth_mm else ""
        )
        raise ValueRefusedError(
            "[wishes] pommel_mm",
            f"{wishes.pommel_mm:g}",
            f"at most the hollow's depth_mm of {wishes.depth_mm:g}, for the ridge stands in the hollow",
            f"give pommel_mm = {wishes.depth_mm:g}{deeper}",
        )
    if wishes.pommel_fade_mm is not None and wishes.pommel_fade_mm > wishes.pommel_length_mm:
        raise ValueRefusedError(
            "[wishes] pommel_fade_mm",
            f"{wishes.pommel_fade_mm:g}",
            f"it is part of pommel_length_mm {wishes.pommel_length_mm:g}",
            f"give pommel_fade_mm = {wishes.pommel_length_mm:g}, or pommel_length_mm = {wishes.pommel_fade_mm:g}",
        )
    room = blank.depth_mm - blank.deck_mm
    if wishes.pommel_length_mm > room:
        raise ValueRefusedError(
            "[wishes] pommel_length_mm",
            f"{wishes.pommel_length_mm:g}",
            f"the deck of deck_mm {blank.deck_mm:g} begins {room:g} mm from the front edge",
            f"give pommel_length_mm = {room:g} or less",
        )


def _check_deepest_line(blank: Blank, wishes: Wishes) -> None:
    """Refuse a deepest line in the front half of what may be hollowed out: no sit bones come to lie there."""
    most = 0.5 * (blank.deck_mm + blank.depth_mm)
    if wishes.deepest_y_mm is None or wishes.deepest_y_mm <= most:
        return
    raise ValueRefusedError(
        "[wishes] deepest_y_mm",
        f"{wishes.deepest_y_mm:g}",
        f"at most midway from the deck line at deck_mm {blank.deck_mm:g} to the front edge at depth_mm "
        f"{blank.depth_mm:g}",
        f"give deepest_y_mm = {np.floor(most):g} or less, or leave it out and the body puts it",
    )


def _check_rim(blank: Blank, wishes: Wishes) -> None:
    """Refuse a rim so far inside that it leaves no hollow to sit in."""
    if wishes.form != "fair" or wishes.rim == "print":
        return
    most = 0.5 * blank.width_mm - LEAST_HALF_HOLLOW_MM
    if wishes.rim_mm > most:
        raise ValueRefusedError(
            "[wishes] rim_mm",
            f"{wishes.rim_mm:g}",
            f"the hollow of a blank of width_mm {blank.width_mm:g} would be narrower than "
            f"{2.0 * LEAST_HALF_HOLLOW_MM:g} mm",
            f'give rim_mm = {np.floor(most):g} or less, or rim = "print", and the hollow ends where the body does',
        )


def _check_roll_length(blank: Blank, wishes: Wishes) -> None:
    length = wishes.front_roll_length_mm
    if length is None:
        return
    arc = roll_length_mm(wishes.front_roll_mm)
    if length < arc:
        raise ValueRefusedError(
            "[wishes] front_roll_length_mm",
            f"{length:g}",
            f"at least the arc of front_roll_mm {wishes.front_roll_mm:g}, which is {arc:.1f} mm long",
            f"give front_roll_length_mm = {np.ceil(arc):g}, or front_roll_mm = "
            f"{np.floor(roll_radius_mm(length)):g}",
        )
    if length > 0.5 * blank.depth_mm:
        raise ValueRefusedError(
            "[wishes] front_roll_length_mm",
            f"{length:g}",
            f"at most half of the blank's depth_mm {blank.depth_mm:g}",
            f"give {0.5 * blank.depth_mm:g} or less",
        )


def _check_floor(blank: Blank, wishes: Wishes) -> None:
    if blank.floor_mm + wishes.depth_mm <= blank.thickness_mm:
        return
    left = blank.thickness_mm - blank.floor_mm
    nearest = f"thickness_mm = {blank.floor_mm + wishes.depth_mm:g}"
    if left > 0:
        nearest += f", or {depth_words(left, wishes)}"
    raise ValueRefusedError(
        "[blank] thickness_mm",
        f"{blank.thickness_mm:g}",
        f"at least floor_mm {blank.floor_mm:g} plus depth_mm {wishes.depth_mm:g}",
        f"give {nearest}",
    )


def _check_roll(blank: Blank, wishes: Wishes) -> None:
    fall = float(front_roll_depth(np.zeros(()), wishes.front_roll_mm))
    if fall > blank.greatest_depth_mm + ROUNDED_MM:
        raise ValueRefusedError(
            "[wishes] front_roll_mm",
            f"{wishes.front_roll_mm:g}",
            f"a roll that falls no further than thickness_mm less floor_mm, {blank.greatest_depth_mm:g} mm",
            f"give front_roll_mm = {np.floor(wishes.front_roll_mm * blank.greatest_depth_mm / fall):g}, "
            f"or thickness_mm = {np.ceil(blank.floor_mm + fall):g}",
        )


def check_width(body: Body, blank: Blank) -> None:
    """Refuse a blank narrower than a sitter, at the least where that is estimated; raises as `check_wishes`."""
    hips = body.measures["hip_breadth_sitting_mm"]
    breadth = hips.low_90 if hips.origin == "estimated" else hips.value
    if breadth > blank.width_mm:
        raise ValueRefusedError(
            "[blank] width_mm",
            f"{blank.width_mm:g}",
            f"at least the hip breadth of '{body.name}', {breadth:.0f} mm",
            f"give {breadth:.0f} or more",
        )
