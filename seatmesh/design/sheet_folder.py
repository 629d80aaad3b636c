"""The folder of a seat's sheets: all of its files or none, their names telling papers and units apart."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from seatmesh.jobs.place import Job
from seatmesh.jobs.put import Run, in_staging, put
from seatmesh.names import with_words, word
from seatmesh.page.paper import ROLL_MM, paper_named
from seatmesh.sheets.make import Sheets
from seatmesh.sheets.wishes import SheetWishes
from seatmesh.surface import Seat

FOLDER = "sheets"
USUAL_PAPER = SheetWishes().paper


@dataclass(frozen=True)
class SheetFolder:
    """Where the sheets are, their names, and notes on what stood there."""

    folder: Path
    files: tuple[str, ...]
    notes: tuple[str, ...]


def write_sheets(
    sheets: Sheets,
    job: Job,
    out: Path,
    apart: tuple[str, str],
    more: Mapping[str, bytes] | None = None,
    overwrite: bool = False,
) -> SheetFolder:
    """Write sheets, and more files beside them, into the job's folder below `out`, in its folder `FOLDER`.

    They are made beside it and moved into place when all are there; whatever else is in the folder stays. `apart`, from
    `words_apart`, keeps sheets on two papers or in two units from writing over one another.

    Raises
    ------
    FileRefusedError
        The folder cannot be made or written, or is of another order; see `seatmesh.jobs.place.place_for`.
    """
    named = {_named(name, apart): data for name, data in {**sheets.files, **(more or {})}.items()}
    with in_staging(out) as stage:
        made = stage / "0"
        (made / FOLDER).mkdir(parents=True)
        for name, data in named.items():
            (made / FOLDER / name).write_bytes(data)
        there = put(made, out, job, _runs(tuple(named), apart), overwrite)
    return SheetFolder(there.folder / FOLDER, tuple(sorted(named)), there.notes)


def words_apart(wishes: SheetWishes, seat: Seat) -> tuple[str, str]:
    """Return what the names of sheets say of paper and units; nothing of A4 and of the seat's own units."""
    paper, usual = paper_named(wishes.paper), paper_named(USUAL_PAPER)
    size = "roll" if paper.width_mm == ROLL_MM else f"roll {paper.width_mm:g}"
    name = "" if paper == usual else word(size if paper.is_roll else paper.name)
    return name, "" if wishes.units in (None, seat.units) else str(wishes.units)


def _named(name: str, apart: tuple[str, str]) -> str:
    """Return the name of a file; drawings and tables are the same whatever the paper."""
    paper, units = apart
    return with_words(name, paper, units) if name.endswith(".pdf") else with_words(name, units)


def _runs(names: tuple[str, ...], apart: tuple[str, str]) -> list[Run]:
    """Return one run for each file, and one for all stages: their number may change."""
    stages = tuple(f"{FOLDER}/{name}" for name in names if name.startswith("stage-"))
    single = [f"{FOLDER}/{name}" for name in names if not name.startswith("stage-")]
    together = [Run(" ".join(("stages", *filter(None, apart))), stages)] if stages else []
    return [*(Run(name, (name,)) for name in single), *together]
