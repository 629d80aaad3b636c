"""Orders: who sits, on what wood, in what chair, with which wishes, marks, adjustments, tools and stages."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from seatmesh.chair import Chair
from seatmesh.design.log.fitting_log import Entry
from seatmesh.design.log.log_bounds import check_places
from seatmesh.design.orders.given_order import given_order
from seatmesh.design.orders.joint_checks import check_sitter
from seatmesh.design.orders.keys.built import Built
from seatmesh.design.orders.order_boards import boards_of, check_boards
from seatmesh.design.orders.order_sitters import OrderedSitter, find_body, marked, ordered_sitters, splayed
from seatmesh.design.orders.order_wood import blank_of
from seatmesh.design.orders.wish_checks import check_width, check_wishes
from seatmesh.design.orders.wood_checks import check_blank
from seatmesh.errors import InputError
from seatmesh.files.names import folder_name
from seatmesh.files.toml_file import read_toml
from seatmesh.fit.reach import Tool
from seatmesh.fit.wished.wishes import Wishes
from seatmesh.units import USUAL_UNITS
from seatmesh.wood.blank import Blank
from seatmesh.wood.boards.board import Board
from seatmesh.wood.boards.layup import Layup, layup_of
from seatmesh.wood.boards.wood_wishes import WoodWishes


@dataclass(frozen=True)
class Order:
    """All that decides a seat.

    Attributes
    ----------
    log
        Adjustments after a fitting, in the order in which they are made.
    tools
        The maker's own, to be held against the hollow.
    stages
        Shares of the depth at which a first seat is sat in before it is finished.
    boards
        Of the blank, from the sitter's left to right; none where the order has none.
    wood
        Climates, allowances and load.
    built
        The seat that was built before, where the order starts from its record.
    file
        The order file as it was named; None where the order came some other way.

    Examples
    --------
    >>> from seatmesh import Order, OrderedSitter, Wishes, estimate_body, shape_seat
    >>> anna = OrderedSitter(estimate_body("female", 1640, 61))
    >>> seat = shape_seat(Order("Anna's chair", (anna,), wishes=Wishes(depth_mm=14.0)))
    >>> seat.title
    "Anna's chair"
    """

    title: str
    sitters: tuple[OrderedSitter, ...]
    units: str = USUAL_UNITS
    blank: Blank = field(default_factory=Blank)
    chair: Chair = field(default_factory=Chair)
    wishes: Wishes = field(default_factory=Wishes)
    log: tuple[Entry, ...] = ()
    tools: tuple[Tool, ...] = ()
    stages: tuple[float, ...] = ()
    boards: tuple[Board, ...] = ()
    wood: WoodWishes = field(default_factory=WoodWishes)
    built: Built = field(default_factory=Built)
    file: str | None = field(default=None, compare=False)

    @property
    def folder_name(self) -> str:
        """The title as the name of a folder; see `seatmesh.files.names`."""
        return folder_name(self.title)

    @property
    def layup(self) -> Layup:
        """How the boards lie in the blank; usual ones where the order has none."""
        return layup_of(self.boards, self.blank)


def read_order(path: str | Path) -> Order:
    r"""Return the order in a TOML file.

    Body files are looked for beside the order, then among those that come with the tool (`body = "cello"`).

    Raises
    ------
    InputError
        The file, a body file or a value in them is refused; see `order_from_table`.

    Examples
    --------
    >>> from pathlib import Path
    >>> from seatmesh import read_order
    >>> _ = Path("viola.toml").write_text('[[sitter]]\nbody = "viola"\n[wishes]\ndepth_mm = 16\n')
    >>> order = read_order("viola.toml")
    >>> order.title, order.wishes.depth_mm, len(order.sitters)
    ('viola', 16.0, 1)
    """
    table = read_toml(path, "order file")
    order = order_from_table(table, f"order file '{path}'", Path(path).stem, Path(path).parent)
    return replace(order, file=str(path))


def order_from_table(
    table: Mapping[str, Any], where: str, default_title: str, folder: Path | None = None
) -> Order:
    """Return the order that a table with the keys of an order file describes.

    `folder` is where body files may be read from; None allows only bodies written out in the order itself or named
    among those that come with the tool.

    Raises
    ------
    UnknownKeyError, MissingKeyError, ValueRefusedError, FileRefusedError
        With what was given, what is allowed and what to do.
    """
    given = given_order(table, where)
    sitters = ordered_sitters(given.sitters, where, folder)
    blank, boards = boards_of(given.boards, given.blank.fields, blank_of(given.blank, given.joints, folder))
    _check_wood(blank, given.wishes)
    sitters = marked(sitters, given.marks, blank, where)
    order = Order(
        title=given.top.title or default_title,
        sitters=tuple(splayed(one, given.wishes.thigh_splay_deg) for one in sitters),
        units=given.top.units,
        blank=blank,
        chair=given.chair,
        wishes=given.wishes,
        log=given.log,
        tools=given.tools,
        stages=given.top.stages,
        boards=boards,
        wood=given.wood,
        built=given.built,
    )
    _check_rest(order)
    return order


def check_order(order: Order) -> None:
    """Refuse an order whose parts contradict one another.

    Raises
    ------
    ValueRefusedError
        It names both values and the nearest that would work.
    """
    _check_wood(order.blank, order.wishes)
    check_boards(order.boards, order.blank)
    _check_rest(order)


def _check_wood(blank: Blank, wishes: Wishes) -> None:
    check_wishes(blank, wishes)
    check_blank(blank, wishes)


def _check_rest(order: Order) -> None:
    for sitter in order.sitters:
        check_width(sitter.body, order.blank)
        check_sitter(sitter.body, order.blank, order.wishes)
    check_places(order.log, order.blank, "order")


__all__ = [
    "InputError",
    "Order",
    "OrderedSitter",
    "check_order",
    "find_body",
    "order_from_table",
    "read_order",
]
