"""`seatmesh wood`: the boards of an order, their figure and movement, the floor, and the way to cut."""

from __future__ import annotations

import argparse
from pathlib import Path

from seatmesh.cli.output import print_json, print_text, say
from seatmesh.cli.progress import step
from seatmesh.deepest import deepest_places
from seatmesh.design.job import order_job
from seatmesh.design.orders.order import read_order
from seatmesh.design.report.plain import ending_notes
from seatmesh.design.report.wood_notes import built_notes
from seatmesh.design.shape import shape_seat
from seatmesh.design.wood.wood_files import write_wood
from seatmesh.design.wood.wood_record import as_built, order_table
from seatmesh.design.wood.wood_study import wood_study
from seatmesh.jobs.place import place_for


def run(options: argparse.Namespace) -> None:
    """Study the wood of an order's seat, write its files, and print the report."""
    order, out = read_order(options.order), Path(options.out)
    job = order_job(order, options.order)
    place_for(out, job, overwrite=options.overwrite)
    table = order_table(order, options.order)
    step(f"shaping '{order.title}'")
    seat = shape_seat(order)
    readings = as_built(seat, options.readings)
    step("bending the floor, and trying thinner ones")
    study = wood_study(order, seat)
    places = deepest_places(seat)
    built = {"deepest_mm": max((one.depth_mm for one in places), default=0.0), "readings_mm": readings}
    made = write_wood(study, table, built, job, out, step, options.overwrite)
    notes = [*ending_notes(seat.ending, order.title), *built_notes(order.built, seat), *made.notes]
    if options.json:
        for note in notes:
            say(f"note: {note}")
        print_json({**made.report, "notes": notes, "folder": str(made.folder), "files": list(made.files)})
    else:
        for note in notes[: len(notes) - len(made.notes)]:
            say(f"note: {note}")
        print_text(made.text)
        say(f"{len(made.files)} files in {made.folder}: {', '.join(made.files)}")
