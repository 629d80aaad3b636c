"""Seats and bodies as the command line names them."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from seatmesh.body.body import Body
from seatmesh.chair import Chair
from seatmesh.cli.output import say
from seatmesh.cli.progress import step
from seatmesh.design.job import order_job, seat_job
from seatmesh.design.report.plain import SOME_ORDER, ending_notes
from seatmesh.errors import MissingKeyError
from seatmesh.formats.seat_file import read_seat
from seatmesh.jobs.place import Job
from seatmesh.surface import Seat
from seatmesh.wood.blank import Blank


@dataclass(frozen=True)
class Source:
    """A seat, and the bodies that its order names.

    Attributes
    ----------
    order_file
        The order file as it was named, or what stands for it; None for a flat blank, which no adjustment is made to.
    """

    seat: Seat
    bodies: tuple[Body, ...]
    order_file: str | None = None


def read_source(path: str, flat: bool = False) -> Source:
    """Return the seat of a seat file (.json) or of an order file; `flat` leaves its blank uncarved."""
    if path.lower().endswith(".json"):
        seat = read_seat(path)
        if flat:
            return Source(Seat(seat.blank, seat.chair, title="flat", units=seat.units), ())
        _say_ending(seat)
        return Source(seat, (), SOME_ORDER)
    from seatmesh.design.orders.order import read_order
    from seatmesh.design.shape import shape_seat

    order = read_order(path)
    bodies = tuple(one.body for one in order.sitters)
    if flat:
        return Source(Seat(order.blank, order.chair, title="flat", units=order.units), bodies)
    step(f"shaping '{order.title}'")
    seat = shape_seat(order)
    _say_ending(seat)
    return Source(seat, bodies, path)


def _say_ending(seat: Seat) -> None:
    for note in ending_notes(seat.ending, seat.title):
        say(f"note: {note}")


def job_of(path: str) -> Job:
    """Return the job that a seat file (.json) or an order file is of."""
    if path.lower().endswith(".json"):
        return seat_job(read_seat(path), path)
    from seatmesh.design.orders.order import read_order

    return order_job(read_order(path), path)


def bodies_for(source: Source, names: list[str]) -> tuple[Body, ...]:
    """Return the bodies named on the command line, else the order's."""
    if names:
        from seatmesh.design.orders.order import find_body

        return tuple(find_body(name, Path()) for name in names)
    if source.bodies:
        return source.bodies
    raise MissingKeyError("--body", "sit", "a seat file names no sitter; name one or more bodies")


def blank_of(path: str | None) -> tuple[Blank, Chair | None, str]:
    """Return blank, chair and units of a seat or order file; of the usual side chair, and that is said, without one."""
    if path is None:
        say("note: no --blank given; the usual side-chair blank is assumed")
        return Blank(), None, "mm"
    seat = read_source(path, flat=True).seat
    return seat.blank, seat.chair, seat.units
