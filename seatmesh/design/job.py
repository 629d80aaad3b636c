"""What a job is made from: an order file, a seat file, or an order of the demo."""

from __future__ import annotations

import hashlib
import os
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from seatmesh.formats.seat_file import seat_digest
from seatmesh.jobs.place import Job
from seatmesh.jobs.record import Kind, MadeFrom, read_record
from seatmesh.surface import Seat

if TYPE_CHECKING:
    from seatmesh.design.orders.order import Order


def order_job(order: Order, path: str | Path) -> Job:
    """Return the job of an order file; its seat is not shaped yet."""
    return Job(_of_order(order, "order file", os.path.realpath(path)))


def demo_job(order: Order, name: str, text: str) -> Job:
    """Return the job of an order of the demo; its text is left beside the results."""
    return Job(_of_order(order, "demo", name), order_copy=text)


def seat_job(seat: Seat, path: str | Path) -> Job:
    """Return the job of a seat file.

    One that lies in a job's own folder, as that folder's record says, is of the order that the folder was made from.
    """
    place, digest = Path(os.path.realpath(path)), seat_digest(seat)
    record = read_record(place.parent)
    if record is not None and place.name in {one.path for one in record.files}:
        before = record.made_from
        name = next((str(one) for one in record.places(place.parent) if one.is_file()), before.name)
        made_from = MadeFrom(before.kind, name, seat.title, before.sitters, before.digest)
        return Job(made_from, digest)
    return Job(MadeFrom("seat file", str(place), seat.title, (), digest), digest)


def _of_order(order: Order, kind: Kind, name: str) -> MadeFrom:
    sitters = tuple(one.body.name for one in order.sitters)
    # An order holds plain values only: what it writes itself as is all that it says, but for where it was read from.
    said = repr(replace(order, file=type(order).file))
    digest = hashlib.sha256(said.encode("utf-8", "surrogatepass")).hexdigest()
    return MadeFrom(kind, name, order.title, sitters, digest)
