"""The fitting log of an order file: edited in its text, checked as an order, and told with what it does."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from seatmesh.design.log.log_bounds import bound_notes
from seatmesh.design.orders.order import Order, order_from_table
from seatmesh.design.report.plain import ending_notes, rounded
from seatmesh.design.shape import log_effects
from seatmesh.errors import FileRefusedError
from seatmesh.files.toml_file import read_toml
from seatmesh.files.whole_or_nothing import write_text


@dataclass(frozen=True)
class Edited:
    """An order file's text after an edit, the order that it then says, and the file's bytes before the edit."""

    text: str
    order: Order
    before: bytes


def edited(path: str | Path, edit: Callable[[str], str]) -> Edited:
    """Return the text of an order file after `edit`, line ends and all, and the order that it says; nothing is written.

    Raises
    ------
    InputError
        The file is refused, or the edit, or the order that comes of it.
    """
    file = Path(path)
    # Refuses what is no small file of TOML, in words, before any of it is edited.
    read_toml(file, "order file")
    before = file.read_bytes()
    text = edit(before.decode("utf-8"))
    table = tomllib.loads(text.removeprefix("\ufeff"))
    return Edited(text, order_from_table(table, f"order file '{path}'", file.stem, file.parent), before)


def keep(path: str | Path, change: Edited) -> None:
    """Write an edited order file.

    Raises
    ------
    FileRefusedError
        It cannot be written, or somebody else has changed it since it was read.
    """
    if Path(path).read_bytes() != change.before:
        raise FileRefusedError(
            f"order file '{path}' was changed while its adjustments were worked out, and is left as it is now; run "
            "the command again."
        )
    write_text(path, change.text)


def log_report(order: Order) -> dict[str, Any]:
    """Return what an order's adjustments do to each sitter's peak, and notes on what bounds keep of them.

    Raises
    ------
    NotSolvedError
        A sitter does not balance, or the seat before the adjustments finds no answer.
    """
    if not order.log:
        return {"adjustments": [], "notes": []}
    seat, rows = log_effects(order)
    notes = [*ending_notes(seat.ending), *bound_notes(seat, order.log)]
    figures: dict[str, Any] = rounded({"adjustments": rows, "notes": notes})
    return figures
