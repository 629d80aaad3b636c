"""`seatmesh mock-up`: a seat, and the sitter to hold against it, as parts for a printer."""

from __future__ import annotations

import argparse
from pathlib import Path

from seatmesh.cli.output import print_json, print_text, say
from seatmesh.cli.sources import bodies_for, read_source
from seatmesh.design.report.seat_report import rounded
from seatmesh.errors import NotSolvedError, ValueRefusedError
from seatmesh.formats.mesh_file import write_mesh
from seatmesh.mesh import extents_mm, is_closed
from seatmesh.mock_up.seat import mock_up
from seatmesh.mock_up.shell import shell
from seatmesh.mock_up.sitter_body import sitter_body
from seatmesh.mock_up.stock import MockUp
from seatmesh.seating.sit import sit


def run(options: argparse.Namespace) -> None:
    """Write every part as a file of its own and print what they are."""
    bed, out = _bed(options.bed_mm), Path(options.out)
    source = read_source(options.seat)
    made = {"seat": mock_up(source.seat, options.scale, bed_mm=bed, wall_mm=options.wall_mm)}
    if options.body:
        body = bodies_for(source, [options.body])[0]
        sitting = sit(body, source.seat)
        if not sitting.converged:
            raise NotSolvedError(f"{body.name}: {sitting.verdict}")
        made["sitter"] = sitter_body(sitting, options.scale, bed_mm=bed, wall_mm=options.wall_mm)
    rows = [row for name, one in made.items() for row in _written(name, one, out)]
    if options.shell_mm is not None:
        mesh = shell(source.seat, options.shell_mm)
        write_mesh(mesh, out / "shell-1-1-mm.stl", name=f"{source.seat.title}, shell")
        rows.append(
            {
                "file": str(out / "shell-1-1-mm.stl"),
                "count": 1,
                "extents_mm": extents_mm(mesh).tolist(),
                "closed": is_closed(mesh),
            }
        )
    for note in (note for one in made.values() for note in one.notes):
        say(f"note: {note}")
    rows = rounded(rows)
    if options.json:
        print_json({"unit": "mm", "parts": rows})
        return
    for row in rows:
        print_text(
            "{}: {} of {:.1f} x {:.1f} x {:.1f} mm".format(row["file"], row["count"], *row["extents_mm"])
        )


def _written(name: str, made: MockUp, out: Path) -> list[dict[str, object]]:
    """Write parts that are alike, such as pegs, once, and say how many to print."""
    rows = []
    for part in {one.name: one for one in made.parts}.values():
        path = out / f"{name}-{part.name.replace(' ', '-')}-mm.stl"
        write_mesh(part.mesh, path, name=f"{name}, {part.name}")
        rows.append(
            {
                "file": str(path),
                "count": sum(one.name == part.name for one in made.parts),
                "extents_mm": extents_mm(part.mesh).tolist(),
                "closed": is_closed(part.mesh),
            }
        )
    return rows


def _bed(text: str) -> tuple[float, float, float]:
    parts = text.lower().replace("×", "x").split("x")
    try:
        across, along, up = (float(part) for part in parts)
    except ValueError as error:
        raise ValueRefusedError(
            "--bed-mm", text, "width x depth x height in mm", "write 220x220x250"
        ) from error
    return across, along, up
