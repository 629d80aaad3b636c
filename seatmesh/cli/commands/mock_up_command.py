"""`seatmesh mock-up`: a seat, and the sitter to hold against it, as parts for a printer."""

from __future__ import annotations

import argparse
from dataclasses import replace
from pathlib import Path

from seatmesh.body.body import Body
from seatmesh.cli.output import print_json, print_text, say
from seatmesh.cli.sources import bodies_for, job_of, read_source
from seatmesh.design.print_folder import Print, print_file, sitter_word, write_prints
from seatmesh.design.report.seat_report import rounded
from seatmesh.errors import NotSolvedError, ValueRefusedError
from seatmesh.files.names import scale_word, word
from seatmesh.formats.seat_file import seat_digest
from seatmesh.jobs.place import place_for
from seatmesh.mesh import extents_mm, is_closed
from seatmesh.mock_up.seat import factor_of, mock_up
from seatmesh.mock_up.shell import shell
from seatmesh.mock_up.sitter_body import sitter_body
from seatmesh.mock_up.stock import MockUp
from seatmesh.seating.sit import sit
from seatmesh.surface import Seat


def run(options: argparse.Namespace) -> None:
    """Write every part as a file of its own into the job's folder and print what they are."""
    bed, out, scale = _bed(options.bed_mm), Path(options.out), factor_of(options.scale)
    job = job_of(options.seat)
    place_for(out, job, overwrite=options.overwrite)
    source = read_source(options.seat)
    made, body = {"seat": mock_up(source.seat, scale, bed_mm=bed, wall_mm=options.wall_mm)}, None
    if options.body:
        body = bodies_for(source, [options.body])[0]
        sitting = sit(body, source.seat)
        if not sitting.converged:
            raise NotSolvedError(f"{body.name}: {sitting.verdict}")
        made["sitter"] = sitter_body(sitting, scale, bed_mm=bed, wall_mm=options.wall_mm)
    prints = [one for kind, parts in made.items() for one in _prints(kind, parts, source.seat, body)]
    if options.shell_mm is not None:
        prints.append(_shell(source.seat, options.shell_mm))
    there = write_prints(prints, replace(job, seat=seat_digest(source.seat)), out, options.overwrite)
    notes = [*(note for one in made.values() for note in one.notes), *there.notes]
    for note in notes:
        say(f"note: {note}")
    rows = rounded([_row(there.folder, one) for one in prints])
    if options.json:
        print_json({"unit": "mm", "folder": str(there.folder), "parts": rows, "notes": notes})
        return
    for row in rows:
        print_text(
            "{}: {} of {:.1f} x {:.1f} x {:.1f} mm".format(row["file"], row["count"], *row["extents_mm"])
        )


def _prints(kind: str, made: MockUp, seat: Seat, body: Body | None) -> list[Print]:
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


def _row(folder: Path, one: Print) -> dict[str, object]:
    return {
        "file": str(folder / one.file),
        "count": one.count,
        "extents_mm": extents_mm(one.mesh).tolist(),
        "closed": is_closed(one.mesh),
    }


def _bed(text: str) -> tuple[float, float, float]:
    parts = text.lower().replace("×", "x").split("x")
    try:
        across, along, up = (float(part) for part in parts)
    except ValueError as error:
        raise ValueRefusedError(
            "--bed-mm", text, "width x depth x height in mm", "write 220x220x250"
        ) from error
    return across, along, up
