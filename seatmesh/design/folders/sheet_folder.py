"""The folder of a seat's sheets: all of its files or none; those on another paper stand beside them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from seatmesh.files.names import with_words, word
from seatmesh.jobs.place import Job, place_for
from seatmesh.jobs.put import Run, in_staging, put
from seatmesh.jobs.record import EARLIER, Record
from seatmesh.sheets.all_sheets import Sheets

FOLDER = "sheets"


@dataclass(frozen=True)
class SheetFolder:
    """Where the sheets are, their names, and notes on what stood there."""

    folder: Path
    files: tuple[str, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True)
class Printed:
    """On which paper sheets are printed, and in which units they speak."""

    paper: str
    units: str


def write_sheets(
    sheets: Sheets,
    job: Job,
    out: Path,
    printed: Printed,
    more: Mapping[str, bytes] | None = None,
    overwrite: bool = False,
) -> SheetFolder:
    """Write sheets, and more files beside them, into the job's folder below `out`, in its folder `FOLDER`.

    They are made beside it and moved into place when all are there; whatever else is in the folder stays. Where sheets
    on another paper or in other units stand there already, these get names that say theirs.

    Raises
    ------
    FileRefusedError
        The folder cannot be made or written, or is of another order; see `seatmesh.jobs.place.place_for`.
    """
    files = {**sheets.files, **(more or {})}
    place = place_for(out, job, overwrite=overwrite)
    there_already = place.record if place.is_own else None
    sets: dict[str, dict[str, str]] = {}
    for name in files:
        sets.setdefault(_set_of(name, printed), {})[name] = name
    named = {run: _told_apart(run, names, printed, there_already) for run, names in sets.items()}
    with in_staging(out) as stage:
        made = stage / "0"
        (made / FOLDER).mkdir(parents=True)
        for names in named.values():
            for name, new in names.items():
                (made / FOLDER / new).write_bytes(files[name])
        runs = [Run(run, tuple(f"{FOLDER}/{new}" for new in names.values())) for run, names in named.items()]
        there = put(made, out, job, runs, overwrite)
    written = sorted(new for names in named.values() for new in names.values())
    return SheetFolder(there.folder / FOLDER, tuple(written), there.notes)


def _set_of(name: str, printed: Printed) -> str:
    """Return the name of the run of a file: its own, as each can be wished for alone, or that of all stages.

    Drawings and tables are the same whatever the paper.
    """
    what = "stages" if name.startswith("stage-") else name
    return f"{what} {printed.paper} {printed.units}" if name.endswith(".pdf") else f"{what} {printed.units}"


def _told_apart(
    run: str, names: Mapping[str, str], printed: Printed, record: Record | None
) -> dict[str, str]:
    """Return the names of a run's files: plain ones, unless a run on another paper or in other units has these."""
    plain = {f"{FOLDER}/{name}" for name in names}
    has_plain = {one.run for one in record.files if one.path in plain} - {EARLIER} if record else set()
    if has_plain <= {run}:
        return dict(names)
    return {
        name: with_words(name, *((word(printed.paper),) if name.endswith(".pdf") else ()), printed.units)
        for name in names
    }
