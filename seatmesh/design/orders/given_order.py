"""What an order says, read from its table in one pass: typed values, before bodies and outlines are looked up."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from seatmesh.body.measures import MEASURES
from seatmesh.chair import Chair
from seatmesh.design.log.fitting_log import Entry
from seatmesh.design.orders.keys.adjustment import ADJUSTMENTS
from seatmesh.design.orders.keys.blank import BLANK, GivenBlank
from seatmesh.design.orders.keys.board import BOARDS, GivenBoard
from seatmesh.design.orders.keys.built import BUILT, Built
from seatmesh.design.orders.keys.chair import CHAIR
from seatmesh.design.orders.keys.joint import JOINTS
from seatmesh.design.orders.keys.mark import MARKS, GivenMark
from seatmesh.design.orders.keys.sitter import SITTERS, GivenSitter
from seatmesh.design.orders.keys.tool import TOOLS
from seatmesh.design.orders.keys.top import TOP, Top
from seatmesh.design.orders.keys.wishes import WISHES
from seatmesh.design.orders.keys.wood import WOOD
from seatmesh.errors import MissingKeyError
from seatmesh.files.keys.table import KeyRows, KeyTable
from seatmesh.files.toml_file import refuse_unknown
from seatmesh.fit.reach import Tool
from seatmesh.fit.wished.wishes import Wishes
from seatmesh.wood.boards.wood_wishes import WoodWishes
from seatmesh.wood.joint import Joint

TABLES: tuple[KeyTable[Any] | KeyRows[Any], ...] = (
    BLANK,
    CHAIR,
    WISHES,
    JOINTS,
    SITTERS,
    MARKS,
    ADJUSTMENTS,
    TOOLS,
    BOARDS,
    WOOD,
    BUILT,
)
"""Every table of an order below its top, in the order in which they are listed."""


@dataclass(frozen=True)
class GivenOrder:
    """An order as it was given: each value by itself is good, whether they go together is not yet known."""

    top: Top
    sitters: tuple[GivenSitter, ...]
    blank: GivenBlank
    joints: tuple[Joint, ...]
    wishes: Wishes
    chair: Chair
    marks: tuple[GivenMark, ...]
    log: tuple[Entry, ...]
    tools: tuple[Tool, ...]
    boards: tuple[GivenBoard, ...]
    wood: WoodWishes
    built: Built


def given_order(file: Mapping[str, Any], where: str) -> GivenOrder:
    """Return what the table of an order file, or the same as JSON, says; `where` names it in a refusal.

    Raises
    ------
    UnknownKeyError, MissingKeyError, ValueRefusedError
        With what was given, what is allowed and what to do.
    """
    names = [one.name for one in TABLES]
    if "sitter" not in file and not set(MEASURES).isdisjoint(file):
        raise MissingKeyError(
            "sitter",
            where,
            "these are a body's measures: name this file in an order, under [[sitter]], as body.",
        )
    refuse_unknown(file, [*(key.name for key in TOP.keys), *names], where)
    top = {name: value for name, value in file.items() if name not in names}
    return GivenOrder(
        top=TOP.read_one(top, where, ""),
        sitters=SITTERS.read(file, where),
        blank=BLANK.read(file, where),
        joints=JOINTS.read(file, where),
        wishes=WISHES.read(file, where),
        chair=CHAIR.read(file, where),
        marks=MARKS.read(file, where),
        log=ADJUSTMENTS.read(file, where),
        tools=TOOLS.read(file, where),
        boards=BOARDS.read(file, where),
        wood=WOOD.read(file, where),
        built=BUILT.read(file, where),
    )
