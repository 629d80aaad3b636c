"""The files of a seat's wood: pictures, report and record, all of a folder or none."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

from seatmesh.design.folders.result_files import Results
from seatmesh.design.wood.wood_record import record_text
from seatmesh.design.wood.wood_report import wood_report
from seatmesh.design.wood.wood_study import WoodStudy
from seatmesh.design.wood.wood_text import wood_text
from seatmesh.files.whole_or_nothing import write_text
from seatmesh.formats.seat_file import seat_digest
from seatmesh.jobs.place import Job, place_for
from seatmesh.jobs.put import Run, in_staging, put
from seatmesh.picture.wood.cut_picture import cut_picture
from seatmesh.picture.wood.figure import figure_picture
from seatmesh.picture.wood.figure_variants import figure_variants
from seatmesh.picture.wood.floor_picture import floor_picture
from seatmesh.picture.wood.movement_picture import movement_picture
from seatmesh.woodwork.variants import ranked

FOLDER = "wood"
RUN = "wood"


def write_wood(
    study: WoodStudy,
    order_table: dict[str, Any],
    built: dict[str, Any],
    job: Job,
    out: Path,
    say: Callable[[str], None],
    overwrite: bool = False,
) -> Results:
    """Write all that is known of a seat's wood into the job's folder below `out`, in its folder `FOLDER`.

    `order_table` is the order as its record keeps it, `built` what was gauged of the finished seat.

    Raises
    ------
    FileRefusedError
        The folder cannot be made or written, or is of another order; see `seatmesh.jobs.place.place_for`.
    """
    figures = wood_report(study)
    text = wood_text(figures, study.seat.units)
    job = replace(job, seat=seat_digest(study.seat))
    place_for(out, job, overwrite=overwrite)
    with in_staging(out) as stage:
        made = stage / "0"
        (made / FOLDER).mkdir(parents=True)
        say(f"drawing the wood of '{study.seat.title}'")
        _draw(study, made / FOLDER)
        plain = json.dumps(figures, indent=2, ensure_ascii=False, allow_nan=False) + "\n"
        write_text(made / FOLDER / "wood.json", plain)
        write_text(made / FOLDER / "wood.txt", text)
        write_text(made / FOLDER / "record.toml", record_text(order_table, figures, built))
        names = tuple(sorted(one.name for one in (made / FOLDER).iterdir()))
        there = put(made, out, job, [Run(RUN, tuple(f"{FOLDER}/{one}" for one in names))], overwrite)
    return Results(there.folder / FOLDER, names, figures, text, (*figures["notes"], *there.notes))


def _draw(study: WoodStudy, folder: Path) -> None:
    seat, layup, units = study.seat, study.layup, study.seat.units
    figure_picture(seat, layup, folder / "figure.png", units=units)
    figure_variants(seat, ranked(study.variants), folder / "figure-variants.png")
    cut_picture(seat, layup, folder / "way-to-cut.png", units=units)
    movement_picture(seat, layup, study.movement, folder / "movement.png", units=units)
    if study.floor is not None:
        floor_picture(seat, study.floor, folder / "floor.png", units=units)
