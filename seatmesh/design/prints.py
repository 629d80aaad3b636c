"""What a printer is to make of a seat: the seat in parts cut to its bed, the sitter to hold against it, and a shell."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from seatmesh.body.body import Body
from seatmesh.design.folders.print_folder import Print, print_file, sitter_word
from seatmesh.errors import NotSolvedError
from seatmesh.files.names import scale_word, word
from seatmesh.mesh import extents_mm, is_closed
from seatmesh.mock_up.seat import mock_up
from seatmesh.mock_up.shell import shell
from seatmesh.mock_up.sitter_body import sitter_body
from seatmesh.mock_up.stock import MockUp
from seatmesh.seating.sit import sit
from seatmesh.surface import Seat


@dataclass(frozen=True)
class PrinterBed:
    """What a printer can do: its bed's width and depth and its height, and the least wall that it holds, mm."""

    bed_mm: tuple[float, float, float] = (220.0, 220.0, 220.0)
    wall_mm: float = 1.2


def mock_up_prints(
    seat: Seat,
    scale: float,
    printer: PrinterBed,
    body: Body | None = None,
    shell_mm: float | None = None,
) -> tuple[tuple[Print, ...], tuple[str, ...]]:
    """Return the files to print a mock-up from, and what was done that nobody asked for, in words.

    `body` is a sitter whose underside is made too, `shell_mm` the thickness of a shell of the carved face at full size.

    Raises
    ------
    ValueRefusedError, NotSolvedError
        See `seatmesh.mock_up.seat.mock_up` and `seatmesh.mock_up.shell.shell`; the sitter found no balance.
    """
    made = {"seat": mock_up(seat, scale, bed_mm=printer.bed_mm, wall_mm=printer.wall_mm)}
    if body is not None:
        sitting = sit(body, seat)
        if not sitting.converged:
            raise NotSolvedError(f"{body.name}: {sitting.verdict}")
        made["sitter"] = sitter_body(sitting, scale, bed_mm=printer.bed_mm, wall_mm=printer.wall_mm)
    prints = [one for kind, parts in made.items() for one in _prints(kind, parts, seat, body)]
    if shell_mm is not None:
        prints.append(_shell(seat, shell_mm))
    return tuple(prints), tuple(note for one in made.values() for note in one.notes)


def _prints(kind: str, made: MockUp, seat: Seat, body: Body | None) -> Sequence[Print]:
    """Return parts, those that are alike, such as pegs, once and with how many to print."""
    whose = "" if kind == "seat" or body is None else sitter_word(body.name)
    return [
        Print(
            print_file(seat.title, made.scale, whose, word(part.name)),
            " ".join(filter(None, ("mock-up", scale_word(made.scale), whose or kind))),
            part.mesh,
            f"{kind}, {part.name}",
            sum(one.name == part.name for one in made.parts),
        )
        for part in {one.name: one for one in made.parts}.values()
    ]


def _shell(seat: Seat, thickness_mm: float) -> Print:
    thick = f"shell-{thickness_mm:g}-thick"
    return Print(
        print_file(seat.title, 1.0, thick), thick, shell(seat, thickness_mm), f"{seat.title}, shell", 1
    )


def print_facts(one: Print) -> dict[str, Any]:
    """Return what is told of a file to print: how many, how large, whether it is closed."""
    return {"count": one.count, "extents_mm": extents_mm(one.mesh).tolist(), "closed": is_closed(one.mesh)}
