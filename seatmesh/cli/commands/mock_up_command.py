"""`seatmesh mock-up`: a seat, and the sitter to hold against it, as parts for a printer."""

from __future__ import annotations

import argparse
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

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
from seatmesh.units import format_length, in_unit, parse_length_mm, shown

UNIT_AT_END = re.compile(r"""[a-z"″”'′’]+\.?$""", re.IGNORECASE)


def run(options: argparse.Namespace) -> None:
    """Write every part as a file of its own into the job's folder and print what they are."""
    bed, out, scale = _bed(options.bed_mm), Path(options.out), factor_of(options.scale)
    wall = parse_length_mm(options.wall_mm, "--wall-mm")
    thick = None if options.shell_mm is None else parse_length_mm(options.shell_mm, "--shell-mm")
    job = job_of(options.seat)
    place_for(out, job, overwrite=options.overwrite)
    source = read_source(options.seat)
    made, body = {"seat": mock_up(source.seat, scale, bed_mm=bed, wall_mm=wall)}, None
    if options.body:
        body = bodies_for(source, [options.body])[0]
        sitting = sit(body, source.seat)
        if not sitting.converged:
            raise NotSolvedError(f"{body.name}: {sitting.verdict}")
        made["sitter"] = sitter_body(sitting, scale, bed_mm=bed, wall_mm=wall)
    prints = [one for kind, parts in made.items() for one in _prints(kind, parts, source.seat, body)]
    if thick is not None:
        prints.append(_shell(source.seat, thick))
    there = write_prints(prints, replace(job, seat=seat_digest(source.seat)), out, options.overwrite)
    units = source.seat.units
    notes = [*(in_unit(note, units) for one in made.values() for note in one.notes), *there.notes]
    for note in notes:
        say(f"note: {note}")
    rows = rounded([_row(there.folder, one) for one in prints])
    if options.json:
        print_json({"unit": "mm", "folder": str(there.folder), "parts": rows, "notes": notes})
        return
    for row in rows:
        size = " x ".join(format_length(mm, units) for mm in row["extents_mm"])
        print_text(f"{row['file']}: {row['count']} of {size}")


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


def _row(folder: Path, one: Print) -> dict[str, Any]:
    return {
        "file": str(folder / one.file),
        "count": one.count,
        "extents_mm": extents_mm(one.mesh).tolist(),
        "closed": is_closed(one.mesh),
    }


def _bed(text: str) -> tuple[float, float, float]:
    """Return a bed's width, depth and height; a unit at the end is that of all which have none."""
    parts = [one.strip() for one in re.split("[x×]", text, flags=re.IGNORECASE)]
    if len(parts) != 3:
        raise ValueRefusedError(
            "--bed-mm", shown(text), "width x depth x height", "write 220x220x250, or 8 3/4 x 8 3/4 x 9 in"
        )
    unit = UNIT_AT_END.search(parts[2])
    whole = [one if unit is None or UNIT_AT_END.search(one) else f"{one} {unit[0]}" for one in parts]
    across, along, up = (parse_length_mm(one, "--bed-mm") for one in whole)
    return across, along, up
