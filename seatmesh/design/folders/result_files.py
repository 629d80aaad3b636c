"""The files of a design: seat, meshes, pictures, tables and report, all of a folder or none."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from seatmesh.design.folders.lettering import lettering_notes
from seatmesh.design.folders.result_pictures import Pictures
from seatmesh.design.report.advice_report import with_hot_spots
from seatmesh.design.report.price_report import with_price
from seatmesh.design.report.report_text import report_text
from seatmesh.design.report.seat_report import report
from seatmesh.design.report.stage_report import stage_name, stage_seats
from seatmesh.design.report.unmeasured_report import with_unmeasured
from seatmesh.design.shape import Design
from seatmesh.files.whole_or_nothing import write_text
from seatmesh.formats.depth_table import depths_csv
from seatmesh.formats.mesh_file import write_mesh
from seatmesh.formats.seat_file import seat_digest, write_seat
from seatmesh.jobs.place import Job, place_for
from seatmesh.jobs.put import Run, in_staging, put
from seatmesh.solids.carved import solid

MOCK_UP_SCALE = 0.25
MOCK_UP_NAME = "mock-up-1-4-mm.stl"
"""A scale seat to print, 1:4."""


@dataclass(frozen=True)
class Results:
    """Where a design's files are, their names, and what they say."""

    folder: Path
    files: tuple[str, ...]
    report: dict[str, Any]
    text: str
    notes: tuple[str, ...]


RUN = "shape"
EXPECTED = (
    "seat.json",
    "seat.stl",
    "seat.obj",
    "report.json",
    "report.txt",
    "contact.png",
    "sections.png",
    "depths.csv",
)
"""Some of the files, known before anything is shaped."""


def write_results(
    designs: Iterable[Design],
    jobs: Sequence[Job],
    out: Path,
    say: Callable[[str], None],
    overwrite: bool = False,
    *,
    pictures: Pictures | None = None,
) -> list[Results]:
    """Write every design's files into the folder of its job below `out`.

    They are made beside it and moved into place when all are done, so that a failed run leaves what was there
    before. Designs are taken one by one; `pictures` have perhaps been started before there was any.

    Raises
    ------
    FileRefusedError
        A folder cannot be made or written, or is of another order; see `seatmesh.jobs.place.place_for`.
    """
    with in_staging(out) as stage, pictures or Pictures() as drawn:
        reports = []
        folders = [stage / f"{number}" for number in range(len(jobs))]
        seats = []
        for one, folder in zip(designs, folders, strict=True):
            folder.mkdir()
            say(f"drawing '{one.order.title}'")
            reports.append(_write_one(one, folder, drawn))
            seats.append(seat_digest(one.seat))
        view_note = drawn.finish()
        shaped = [replace(job, seat=seat) for job, seat in zip(jobs, seats, strict=True)]
        for job, folder in zip(shaped, folders, strict=True):
            place_for(out, job, _names(folder), overwrite)
        return [
            _in_place(folder, out, job, overwrite, (*reports[k], view_note))
            for k, (folder, job) in enumerate(zip(folders, shaped, strict=True))
        ]


def told_figures(design: Design) -> dict[str, Any]:
    """Return the figures of a report with hot spots, what was not measured, and what wishes cost."""
    return with_price(with_unmeasured(with_hot_spots(report(design), design), design), design)


def _write_one(design: Design, folder: Path, pictures: Pictures) -> tuple[dict[str, Any], str]:
    seat = design.seat
    pictures.draw(design, folder)
    figures = told_figures(design)
    text = report_text(design, figures)
    write_seat(seat, folder / "seat.json")
    mesh = solid(seat)
    write_mesh(mesh, folder / "seat.stl")
    write_mesh(mesh, folder / "seat.obj")
    write_mesh(mesh.scaled(MOCK_UP_SCALE), folder / MOCK_UP_NAME)
    write_text(folder / "depths.csv", depths_csv(seat))
    write_text(
        folder / "report.json", json.dumps(figures, indent=2, ensure_ascii=False, allow_nan=False) + "\n"
    )
    write_text(folder / "report.txt", text)
    for share, one in stage_seats(design.order, seat):
        write_seat(one, folder / f"seat-{stage_name(share)}.json")
        write_text(folder / f"depths-{stage_name(share)}.csv", depths_csv(one))
    pictures.draw_curve(design, figures, folder)
    return figures, text


def _names(folder: Path) -> tuple[str, ...]:
    return tuple(sorted(path.name for path in folder.iterdir()))


def _in_place(
    made: Path, out: Path, job: Job, overwrite: bool, said: tuple[dict[str, Any], str, str | None]
) -> Results:
    """Move finished files over those of an earlier run; whatever else is in the folder stays."""
    figures, text, view_note = said
    there = put(made, out, job, [Run(RUN, _names(made))], overwrite)
    notes = (*figures["notes"], *((view_note,) if view_note else ()), *lettering_notes(job), *there.notes)
    return Results(there.folder, there.files, figures, text, notes)
