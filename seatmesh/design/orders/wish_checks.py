"""Orders whose wishes contradict the wood or one another: refused, with the nearest pair that would work."""

from __future__ import annotations

import numpy as np

from seatmesh.body.body import Body
from seatmesh.errors import ValueRefusedError
from seatmesh.fit.wished.wishes import Wishes
from seatmesh.front_roll import front_roll_depth, roll_length_mm, roll_radius_mm
from seatmesh.refused import (
    Advice,
    Setting,
    at,
    bare,
    exactly,
    leave_out,
    less,
    mm,
    more,
    named_mm,
    of,
    said,
    word,
)
from seatmesh.wood.blank import Blank

ROUNDED_MM = 1e-9
"""A value advised in a refusal is taken, however it was rounded."""
LEAST_FLOOR_OFFERED_MM = 12.0
"""A thinner floor may be asked for and is never advised: half an inch, common practice, from memory."""
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


def depth_way(depth_mm: float, wishes: Wishes) -> tuple[Setting, ...]:
    """Return the way to a hollow of another depth, with the lower pommel that it then takes."""
    lower = exactly("wishes.pommel_mm", depth_mm) if wishes.pommel_mm > depth_mm > 0.0 else ()
    return (*exactly("wishes.depth_mm", depth_mm), *lower)


def _check_pommel(blank: Blank, wishes: Wishes) -> None:
    if wishes.pommel_mm > max(wishes.depth_mm, 0.0) > 0:
        deeper = wishes.pommel_mm <= blank.greatest_depth_mm
        ways = (
            exactly("wishes.pommel_mm", wishes.depth_mm),
            *((exactly("wishes.depth_mm", wishes.pommel_mm),) if deeper else ()),
        )
        raise ValueRefusedError(
            at("wishes.pommel_mm"),
            said("{}", bare("wishes.pommel_mm", wishes.pommel_mm)),
            said(
                "at most the hollow's {} of {}, for the ridge stands in the hollow",
                word("depth", "depth_mm"),
                bare("wishes.depth_mm", wishes.depth_mm),
            ),
            Advice(ways),
        )
    if wishes.pommel_fade_mm is not None and wishes.pommel_fade_mm > wishes.pommel_length_mm:
        raise ValueRefusedError(
            at("wishes.pommel_fade_mm"),
            said("{}", bare("wishes.pommel_fade_mm", wishes.pommel_fade_mm)),
            said("it is part of {}", of("wishes.pommel_length_mm", wishes.pommel_length_mm)),
            Advice(
                (
                    exactly("wishes.pommel_fade_mm", wishes.pommel_length_mm),
                    exactly("wishes.pommel_length_mm", wishes.pommel_fade_mm),
                )
            ),
        )
    room = blank.depth_mm - blank.deck_mm
    if wishes.pommel_length_mm > room:
        raise ValueRefusedError(
            at("wishes.pommel_length_mm"),
            said("{}", bare("wishes.pommel_length_mm", wishes.pommel_length_mm)),
            said(
                "the deck of {} begins {} from the front edge", named_mm("deck_mm", blank.deck_mm), mm(room)
            ),
            Advice((less("wishes.pommel_length_mm", room),)),
        )


def _check_deepest_line(blank: Blank, wishes: Wishes) -> None:
    """Refuse a deepest line in the front half of what may be hollowed out: no sit bones come to lie there."""
    most = 0.5 * (blank.deck_mm + blank.depth_mm)
    if wishes.deepest_y_mm is None or wishes.deepest_y_mm <= most:
        return
    raise ValueRefusedError(
        at("wishes.deepest_y_mm"),
        said("{}", bare("wishes.deepest_y_mm", wishes.deepest_y_mm)),
        said(
            "at most midway from the deck line at {} to the front edge at {}",
            named_mm("deck_mm", blank.deck_mm),
            named_mm("depth_mm", blank.depth_mm),
        ),
        Advice(
            (less("wishes.deepest_y_mm", float(np.floor(most))), leave_out("wishes.deepest_y_mm")),
            text=f"give deepest_y_mm = {np.floor(most):g} or less, or leave it out and the body puts it",
        ),
    )


def _check_rim(blank: Blank, wishes: Wishes) -> None:
    """Refuse a rim so far inside that it leaves no hollow to sit in."""
    if wishes.form != "fair" or wishes.rim == "print":
        return
    most = 0.5 * blank.width_mm - LEAST_HALF_HOLLOW_MM
    if wishes.rim_mm > most:
        raise ValueRefusedError(
            at("wishes.rim_mm"),
            said("{}", bare("wishes.rim_mm", wishes.rim_mm)),
            said(
                "the hollow of a blank of {} would be narrower than {}",
                of("blank.width_mm", blank.width_mm),
                mm(2.0 * LEAST_HALF_HOLLOW_MM),
            ),
            Advice(
                (less("wishes.rim_mm", float(np.floor(most))), exactly("wishes.rim", "print")),
                text=f'give rim_mm = {np.floor(most):g} or less, or rim = "print", and the hollow ends where the body '
                "does",
            ),
        )


def _check_roll_length(blank: Blank, wishes: Wishes) -> None:
    length = wishes.front_roll_length_mm
    if length is None:
        return
    arc = roll_length_mm(wishes.front_roll_mm)
    if length < arc:
        raise ValueRefusedError(
            at("wishes.front_roll_length_mm"),
            said("{}", bare("wishes.front_roll_length_mm", length)),
            said(
                "at least the arc of {}, which is {} long",
                of("wishes.front_roll_mm", wishes.front_roll_mm),
                mm(arc, ".1f"),
            ),
            Advice(
                (
                    exactly("wishes.front_roll_length_mm", float(np.ceil(arc))),
                    exactly("wishes.front_roll_mm", float(np.floor(roll_radius_mm(length)))),
                )
            ),
        )
    if length > 0.5 * blank.depth_mm:
        raise ValueRefusedError(
            at("wishes.front_roll_length_mm"),
            said("{}", bare("wishes.front_roll_length_mm", length)),
            said("at most half of the blank's {}", of("blank.depth_mm", blank.depth_mm)),
            Advice(
                (less("wishes.front_roll_length_mm", 0.5 * blank.depth_mm),),
                text=f"give {0.5 * blank.depth_mm:g} or less",
            ),
        )


def _check_floor(blank: Blank, wishes: Wishes) -> None:
    if blank.floor_mm + wishes.depth_mm <= blank.thickness_mm:
        return
    left = blank.thickness_mm - blank.floor_mm
    if left <= 0 and blank.thickness_mm - wishes.depth_mm >= LEAST_FLOOR_OFFERED_MM:
        _refuse_floor(blank, wishes)
    ways = [exactly("blank.thickness_mm", blank.floor_mm + wishes.depth_mm)]
    if left > 0:
        ways.append(depth_way(left, wishes))
    raise ValueRefusedError(
        at("blank.thickness_mm"),
        said("{}", bare("blank.thickness_mm", blank.thickness_mm)),
        said(
            "at least {} plus {}",
            of("blank.floor_mm", blank.floor_mm),
            of("wishes.depth_mm", wishes.depth_mm),
        ),
        Advice(tuple(ways)),
    )


def _refuse_floor(blank: Blank, wishes: Wishes) -> None:
    """Refuse a floor that is as thick as the blank or thicker, which leaves room for another: it was mistaken."""
    most = blank.thickness_mm - wishes.depth_mm
    raise ValueRefusedError(
        at("blank.floor_mm"),
        said("{}", bare("blank.floor_mm", blank.floor_mm)),
        said(
            "at most {} less {}",
            of("blank.thickness_mm", blank.thickness_mm),
            of("wishes.depth_mm", wishes.depth_mm),
        ),
        Advice(
            (
                exactly("blank.floor_mm", most),
                exactly("blank.thickness_mm", blank.floor_mm + wishes.depth_mm),
            )
        ),
    )


def _check_roll(blank: Blank, wishes: Wishes) -> None:
    fall = float(front_roll_depth(np.zeros(()), wishes.front_roll_mm))
    if fall > blank.greatest_depth_mm + ROUNDED_MM:
        raise ValueRefusedError(
            at("wishes.front_roll_mm"),
            said("{}", bare("wishes.front_roll_mm", wishes.front_roll_mm)),
            said(
                "a roll that falls no further than {} less {}, {}",
                of("blank.thickness_mm"),
                of("blank.floor_mm"),
                mm(blank.greatest_depth_mm),
            ),
            Advice(
                (
                    exactly(
                        "wishes.front_roll_mm",
                        float(np.floor(wishes.front_roll_mm * blank.greatest_depth_mm / fall)),
                    ),
                    exactly("blank.thickness_mm", float(np.ceil(blank.floor_mm + fall))),
                )
            ),
        )


def check_width(body: Body, blank: Blank) -> None:
    """Refuse a blank narrower than a sitter, at the least where that is estimated; raises as `check_wishes`."""
    hips = body.measures["hip_breadth_sitting_mm"]
    breadth = hips.low_90 if hips.origin == "estimated" else hips.value
    if breadth > blank.width_mm:
        needed = float(np.ceil(breadth))
        raise ValueRefusedError(
            at("blank.width_mm"),
            said("{}", bare("blank.width_mm", blank.width_mm)),
            said("at least the hip breadth of '{}', {}", word(body.name), mm(breadth, ".0f")),
            Advice((more("blank.width_mm", needed),), text=f"give {needed:.0f} or more"),
        )
