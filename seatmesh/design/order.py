"""Orders: who sits, on what wood, in what chair, with which wishes."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import numpy as np

from seatmesh.blank import Blank
from seatmesh.body.body import Body
from seatmesh.body.body_file import bodies_folder, body_from_table, read_body
from seatmesh.chair import Chair
from seatmesh.design.keys import CHAIR, WISHES, one_of, read_numbers, table_of
from seatmesh.design.wood import read_blank
from seatmesh.design.wood_checks import check_blank, check_sitter
from seatmesh.errors import FileRefusedError, InputError, MissingKeyError, UnknownKeyError, ValueRefusedError
from seatmesh.fit.wishes import Wishes
from seatmesh.surface import front_roll_depth
from seatmesh.toml_file import read_toml, refuse_unknown
from seatmesh.units import ALLOWED_UNITS, real_number, shown

LONGEST_TITLE = 60
MOST_SITTERS = 12
MOST_WEIGHT = 1000.0
SITTER_KEYS = ("name", "body", "weight")
TOP_KEYS = ("title", "units", "blank", "chair", "joint", "sitter", "wishes")


@dataclass(frozen=True)
class OrderedSitter:
    """A sitter of an order and how much the sitter counts against the others."""

    body: Body
    weight: float = 1.0


@dataclass(frozen=True)
class Order:
    """All that decides a seat."""

    title: str
    sitters: tuple[OrderedSitter, ...]
    units: str = "mm"
    blank: Blank = field(default_factory=Blank)
    chair: Chair = field(default_factory=Chair)
    wishes: Wishes = field(default_factory=Wishes)

    @property
    def folder_name(self) -> str:
        """The title as the name of a folder: small letters, digits and hyphens."""
        return folder_name_of(self.title)


def folder_name_of(title: str) -> str:
    """Return a title as the name of a folder: small letters, digits and hyphens."""
    return re.sub(r"[^a-z0-9]+", "-", title.lower()).strip("-") or "seat"


def read_order(path: str | Path) -> Order:
    """Return the order in a TOML file.

    Body files are looked for beside the order, then among those that come with the tool (`body = "cello"`).

    Raises
    ------
    InputError
        The file, a body file or a value in them is refused; see `order_from_table`.
    """
    table = read_toml(path, "order file")
    return order_from_table(table, f"order file '{path}'", Path(path).stem, Path(path).parent)


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
    refuse_unknown(table, TOP_KEYS, where)
    order = Order(
        title=_title(table.get("title", default_title)),
        sitters=_sitters(table, where, folder),
        units=one_of("units", table.get("units", "mm"), ALLOWED_UNITS),
        blank=read_blank(table, where, folder),
        chair=Chair(**read_numbers(table_of(table, "chair", CHAIR, where), CHAIR, "[chair]")),
        wishes=Wishes(**read_numbers(table_of(table, "wishes", WISHES, where), WISHES, "[wishes]")),
    )
    check_order(order)
    return order


def check_order(order: Order) -> None:
    """Refuse an order whose parts contradict one another.

    Raises
    ------
    ValueRefusedError
        It names both values and the nearest that would work.
    """
    blank, wishes = order.blank, order.wishes
    _check_floor(blank, wishes)
    _check_roll(blank, wishes)
    check_blank(blank, wishes)
    if wishes.pommel_mm > max(wishes.depth_mm, 0.0) > 0:
        raise ValueRefusedError(
            "[wishes] pommel_mm",
            f"{wishes.pommel_mm:g}",
            f"at most the hollow's depth_mm of {wishes.depth_mm:g}",
            "lower the pommel or deepen the hollow",
        )
    for sitter in order.sitters:
        _check_width(sitter.body, blank)
        check_sitter(sitter.body, blank, wishes)


def _check_floor(blank: Blank, wishes: Wishes) -> None:
    if blank.floor_mm + wishes.depth_mm <= blank.thickness_mm:
        return
    left = blank.thickness_mm - blank.floor_mm
    nearest = f"thickness_mm = {blank.floor_mm + wishes.depth_mm:g}"
    if left > 0:
        nearest += f" or depth_mm = {left:g}"
    raise ValueRefusedError(
        "[blank] thickness_mm",
        f"{blank.thickness_mm:g}",
        f"at least floor_mm {blank.floor_mm:g} plus depth_mm {wishes.depth_mm:g}",
        f"give {nearest}",
    )


def _check_roll(blank: Blank, wishes: Wishes) -> None:
    fall = float(front_roll_depth(np.zeros(()), wishes.front_roll_mm))
    if fall > blank.greatest_depth_mm:
        raise ValueRefusedError(
            "[wishes] front_roll_mm",
            f"{wishes.front_roll_mm:g}",
            f"a roll that falls no further than thickness_mm less floor_mm, {blank.greatest_depth_mm:g} mm",
            f"give {wishes.front_roll_mm * blank.greatest_depth_mm / fall:.4g} or less",
        )


def _check_width(body: Body, blank: Blank) -> None:
    breadth = body.value("hip_breadth_sitting_mm")
    if breadth > blank.width_mm:
        raise ValueRefusedError(
            "[blank] width_mm",
            f"{blank.width_mm:g}",
            f"at least the hip breadth of '{body.name}', {breadth:.0f} mm",
            f"give {breadth:.0f} or more",
        )


def _title(given: object) -> str:
    if isinstance(given, str) and given.isprintable() and 0 < len(given.strip()) <= LONGEST_TITLE:
        return given.strip()
    raise ValueRefusedError(
        "title", shown(given), f"allowed are 1 to {LONGEST_TITLE} printable characters", "give a short title"
    )


def _sitters(table: Mapping[str, Any], where: str, folder: Path | None) -> tuple[OrderedSitter, ...]:
    entries = table.get("sitter")
    if not entries:
        raise MissingKeyError("sitter", where, 'add [[sitter]] with body = "..." for each who sits')
    if not isinstance(entries, list) or not all(isinstance(one, Mapping) for one in entries):
        raise ValueRefusedError(
            "sitter", shown(entries), "allowed is a list of tables", "write [[sitter]] for each"
        )
    if len(entries) > MOST_SITTERS:
        raise ValueRefusedError(
            "sitter",
            f"{len(entries)} of them",
            f"at most {MOST_SITTERS}",
            "make an order for a few at a time",
        )
    return tuple(_sitter(one, number, where, folder) for number, one in enumerate(entries, start=1))


def _sitter(entry: Mapping[str, Any], number: int, where: str, folder: Path | None) -> OrderedSitter:
    label = f"{where} [[sitter]] {number}"
    refuse_unknown(entry, SITTER_KEYS, label)
    if "body" not in entry:
        raise MissingKeyError("body", label, "name a body file, or write the measures as a table")
    body = _body(entry["body"], label, number, folder)
    if "name" in entry:
        body = replace(body, name=_title(entry["name"]))
    weight = real_number(f"{label} weight", entry.get("weight", 1.0))
    if not 0 < weight <= MOST_WEIGHT:
        raise ValueRefusedError(
            f"{label} weight",
            f"{weight:g}",
            f"above 0, at most {MOST_WEIGHT:g}",
            "give 1 for each to count alike",
        )
    return OrderedSitter(body, weight)


def _body(given: object, label: str, number: int, folder: Path | None) -> Body:
    if isinstance(given, Mapping):
        return body_from_table(given, f"{label} body", f"sitter {number}")
    if not isinstance(given, str) or not given:
        raise ValueRefusedError(
            f"{label} body", shown(given), "a body file or a table", "name a file of measures"
        )
    return find_body(given, folder)


def find_body(name: str, folder: Path | None) -> Body:
    """Return a body by the path of its file, seen from `folder`, or by the name of one that comes with the tool.

    Raises
    ------
    InputError
        There is none; the message lists those that come with the tool.
    """
    own = {path.stem: path for path in sorted(bodies_folder().glob("*.toml"))}
    if folder is not None and (folder / name).is_file():
        return read_body(folder / name)
    if name in own:
        return read_body(own[name])
    if folder is None:
        raise UnknownKeyError(name, own, "body")
    looks_like_path = name.endswith(".toml") or "/" in name
    if looks_like_path and (folder / name).exists():
        return read_body(folder / name)
    raise FileRefusedError(
        f"body file '{folder / name}' does not exist; give its path, or one of these: {', '.join(own)}"
    )


__all__ = [
    "InputError",
    "Order",
    "OrderedSitter",
    "check_order",
    "find_body",
    "order_from_table",
    "read_order",
]
