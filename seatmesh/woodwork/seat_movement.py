"""How a seat moves between the shop and the room that it goes to: width, cup, joints, and what to allow for."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.wood.blank import Blank
from seatmesh.wood.boards.layup import Layup
from seatmesh.wood.boards.moisture import Climate
from seatmesh.wood.boards.movement import (
    BoardMovement,
    across_per_percent,
    board_movement,
    linear_change_mm,
    panel_cup_mm,
    panel_top_mm,
)
from seatmesh.wood.boards.wood_wishes import WoodWishes
from seatmesh.wood.joint import Joint

LEFT_OUT = (
    "Boards are taken as free, plain slabs, and a glued panel as boards whose edges meet as they lean: it comes out "
    "scalloped where shop wisdom expects one bow. Left out: twist, as nobody states how the fibres spiral; what glue, "
    "legs and rails hold back; and the carved hollow, which lets the top face dry before the rest."
)


@dataclass(frozen=True)
class JointMovement:
    """What moves at a joint and at its mirror image.

    Attributes
    ----------
    number, joint
        The joint, and its number in the order.
    apart_mm
        Between the two; 0 of a joint that has no mirror image.
    apart_change_mm
        How much farther apart they come.
    bore_change_mm
        How much wider a round mortise gets across the grain, of the two that which changes more; along the grain it
        keeps its width.
    """

    number: int
    joint: Joint
    apart_mm: float
    apart_change_mm: float
    bore_change_mm: float


@dataclass(frozen=True)
class RoomMovement:
    """A seat in a room, against how it left the shop.

    Attributes
    ----------
    room
        The room.
    from_percent, to_percent
        Moisture in the shop and there.
    boards
        Each board alone.
    width_change_mm
        Of the whole seat, at its widest.
    panel_top_mm, panel_cup_mm
        The boards glued together and left free: their top face, and how far it falls below its edges in the middle.
    joints
        At each mortise.
    """

    room: Climate
    from_percent: float
    to_percent: float
    boards: tuple[BoardMovement, ...]
    width_change_mm: float
    panel_top_mm: Floats
    panel_cup_mm: float
    joints: tuple[JointMovement, ...]

    @property
    def cup_mm(self) -> float:
        """The greatest cup of a board, signed as that of `BoardMovement`."""
        return max((one.cup_mm for one in self.boards), key=abs)


def seat_movement(blank: Blank, layup: Layup, wishes: WoodWishes) -> tuple[RoomMovement, ...]:
    """Return how the seat moves in each room."""
    return tuple(_in_room(blank, layup, wishes.shop, room) for room in wishes.rooms)


def width_change_mm(layup: Layup, x_mm: tuple[float, float], from_percent: float, to_percent: float) -> float:
    """Return by how much farther apart two places across the grain come, boards taken by their rings' mean angle."""
    low, high = sorted(x_mm)
    total = 0.0
    for board, (left, right) in zip(layup.boards, layup.spans_mm, strict=True):
        part = min(high, right) - max(low, left)
        if part > 0.0:
            total += linear_change_mm(part, across_per_percent(board), from_percent, to_percent)
    return total


def _in_room(blank: Blank, layup: Layup, shop: Climate, room: Climate) -> RoomMovement:
    start, end = shop.moisture_percent, room.moisture_percent
    boards = tuple(board_movement(board, layup.thickness_mm, start, end) for board in layup.boards)
    top = panel_top_mm(boards)
    joints = tuple(
        _joint(blank, layup, number, start, end)
        for number, joint in enumerate(blank.joints, start=1)
        if joint.diameter_mm > 0.0 and joint.kind != "circle"
    )
    width = float(np.sum([one.width_change_mm for one in boards]))
    return RoomMovement(room, start, end, boards, width, top, panel_cup_mm(top), joints)


def _joint(blank: Blank, layup: Layup, number: int, start: float, end: float) -> JointMovement:
    joint = blank.joints[number - 1]
    apart = 2.0 * abs(joint.x_mm) if joint.side == "both" else 0.0
    change = width_change_mm(layup, (-joint.x_mm, joint.x_mm), start, end) if apart else 0.0
    radius = 0.5 * joint.diameter_mm
    # The boards left and right may be of different woods, or sawn differently.
    middles = (joint.x_mm, -joint.x_mm) if apart else (joint.x_mm,)
    bores = (width_change_mm(layup, (one - radius, one + radius), start, end) for one in middles)
    bore = max(bores, key=abs)
    return JointMovement(number, joint, apart, change, bore)
