"""`seatmesh mock-up`: a seat, and the sitter to hold against it, as parts for a printer."""

from __future__ import annotations

import argparse
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

from seatmesh.cli.output import print_json, print_text, say
from seatmesh.cli.sources import bodies_for, job_of, read_source
from seatmesh.design.folders.print_folder import Print, write_prints
from seatmesh.design.prints import PrinterBed, mock_up_prints, print_facts
from seatmesh.design.report.plain import rounded
from seatmesh.errors import ValueRefusedError
from seatmesh.formats.seat_file import seat_digest
from seatmesh.jobs.place import place_for
from seatmesh.mock_up.seat import factor_of
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
    body = bodies_for(source, [options.body])[0] if options.body else None
    prints, done = mock_up_prints(source.seat, scale, PrinterBed(bed, wall), body, thick)
    there = write_prints(prints, replace(job, seat=seat_digest(source.seat)), out, options.overwrite)
    units = source.seat.units
    notes = [*(in_unit(note, units) for note in done), *there.notes]
    for note in notes:
        say(f"note: {note}")
    rows = rounded([_row(there.folder, one) for one in prints])
    if options.json:
        print_json({"unit": "mm", "folder": str(there.folder), "parts": rows, "notes": notes})
        return
    for row in rows:
        size = " x ".join(format_length(mm, units) for mm in row["extents_mm"])
        print_text(f"{row['file']}: {row['count']} of {size}")


def _row(folder: Path, one: Print) -> dict[str, Any]:
    return {"file": str(folder / one.file), **print_facts(one)}


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
