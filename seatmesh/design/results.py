"""The files of a design: seat, meshes, pictures, tables and report, all of a folder or none."""

from __future__ import annotations

import contextlib
import json
import shutil
import tempfile
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from seatmesh.design.advice_report import with_hot_spots
from seatmesh.design.report import report
from seatmesh.design.report_text import report_text
from seatmesh.design.shape import Design
from seatmesh.design.stage_report import stage_name, stage_seats
from seatmesh.errors import FileRefusedError
from seatmesh.export.depth_table import depths_csv
from seatmesh.export.mesh_file import write_mesh
from seatmesh.export.seat_file import write_seat
from seatmesh.export.write import write_text
from seatmesh.picture.contact_map import contact_map
from seatmesh.picture.depth_curve import depth_curve
from seatmesh.picture.light_lines import light_lines
from seatmesh.picture.plan import plan
from seatmesh.picture.sections import sections
from seatmesh.picture.view3d import ViewJob, start_views
from seatmesh.seating.place import places
from seatmesh.solids.carved import solid

ORDER_FILE = "order.toml"
"""The order beside a demo's results."""
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


def write_results(
    designs: Sequence[Design],
    out: Path,
    say: Callable[[str], None],
    orders: Mapping[str, str] | None = None,
) -> list[Results]:
    """Write every design's files into a folder of its own below `out`.

    They are made beside it and moved into place when all are done, so that a failed run leaves what was there
    before. `orders` are texts of order files to put with them, by folder name.

    Raises
    ------
    FileRefusedError
        A folder cannot be made or written, or two designs would share one.
    """
    names = [one.order.folder_name for one in designs]
    with in_staging(out) as stage:
        folders = [_made(stage / name) for name in names]
        jobs = [
            ViewJob(one.seat, folder / "view.png", one.results[0].best, one.order.units)
            for one, folder in zip(designs, folders, strict=True)
        ]
        views = start_views(jobs)
        reports = []
        for one, folder in zip(designs, folders, strict=True):
            say(f"drawing '{one.order.title}' ...")
            reports.append(_write_one(one, folder, (orders or {}).get(one.order.folder_name)))
        view_note = views.finish()
        return [
            _in_place(folder, out / folder.name, figures, text, view_note)
            for folder, (figures, text) in zip(folders, reports, strict=True)
        ]


@contextlib.contextmanager
def in_staging(out: Path) -> Iterator[Path]:
    """Lend a folder inside `out` to make files in, gone afterwards; FileRefusedError where it cannot be written."""
    try:
        out.mkdir(parents=True, exist_ok=True)
        stage = Path(tempfile.mkdtemp(prefix=".in-the-making-", dir=out))
    except OSError as error:
        raise FileRefusedError(
            f"the folder '{out}' cannot be written: {error.strerror}; choose another with --out."
        ) from error
    try:
        yield stage
    except OSError as error:
        raise FileRefusedError(f"the results could not be written into '{out}': {error.strerror}.") from error
    finally:
        shutil.rmtree(stage, ignore_errors=True)


def _made(folder: Path) -> Path:
    try:
        folder.mkdir()
    except FileExistsError as error:
        raise FileRefusedError(f"two orders have the title '{folder.name}'; give each its own.") from error
    return folder


def _write_one(design: Design, folder: Path, order_text: str | None) -> tuple[dict[str, Any], str]:
    seat = design.seat
    figures = with_hot_spots(report(design), design)
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
    if order_text is not None:
        write_text(folder / ORDER_FILE, order_text)
    _draw(design, figures, folder)
    return figures, text


def _draw(design: Design, figures: dict[str, Any], folder: Path) -> None:
    seat, units = design.seat, design.order.units
    contact_map([one.best for one in design.results], folder / "contact.png", units=units)
    sections(seat, design.results[0].best, folder / "sections.png", units=units)
    light_lines(seat, folder / "light-lines.png", units=units)
    for guest, ordered in zip(design.guests, design.order.sitters, strict=True):
        body = guest.sitter.body
        name = "plan.png" if len(design.guests) == 1 else f"plan-{_file_name(body.name)}.png"
        marks = [(mark.x_mm, mark.y_mm) for _, mark in ordered.marks]
        plan(
            seat,
            places(body, seat.blank, ordered.along_error_mm),
            folder / name,
            units=units,
            sitter=body.name,
            marks_mm=marks,
        )
    rows = {one["name"]: one["peak_by_depth"] for one in figures["sitters"]}
    depth_curve(rows, folder / "peak-by-depth.png", units=units, title=seat.title)


def _file_name(name: str) -> str:
    return "".join(letter if letter.isalnum() else "-" for letter in name.lower()).strip("-") or "sitter"


def _in_place(made: Path, folder: Path, figures: dict[str, Any], text: str, view_note: str | None) -> Results:
    """Move finished files over those of an earlier run; whatever else is in the folder stays."""
    folder.mkdir(exist_ok=True)
    files = sorted(path.name for path in made.iterdir())
    for name in files:
        (made / name).replace(folder / name)
    notes = tuple(figures["notes"]) + ((view_note,) if view_note else ())
    return Results(folder, tuple(files), figures, text, notes)
