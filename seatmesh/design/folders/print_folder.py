"""The folder of a seat's parts to print: named after seat and scale, so that no two mock-ups are taken for one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from seatmesh.files.names import folder_name, scale_word, word
from seatmesh.formats.mesh_file import write_mesh
from seatmesh.jobs.place import Job
from seatmesh.jobs.put import Put, Run, in_staging, put
from seatmesh.mesh import Mesh

FOLDER = "mock-up"


@dataclass(frozen=True)
class Print:
    """One file to print from.

    Attributes
    ----------
    file
        Its place in the folder of the job, with slashes.
    run
        The set that it belongs to: parts of one set are cut to fit one another, and take the place of an earlier one.
    mesh, name
        What it holds, and the name that stands in the file.
    count
        How many of it are to be printed.
    """

    file: str
    run: str
    mesh: Mesh
    name: str
    count: int


def print_file(title: str, scale: float, *more: str) -> str:
    """Return the place of a part: mock-up/1-4/anna-s-chair-1-4-part-1-mm.stl."""
    size = scale_word(scale)
    return f"{FOLDER}/{size}/{'-'.join((folder_name(title), size, *filter(None, more), 'mm'))}.stl"


def sitter_word(name: str) -> str:
    """Return what the names of a sitter's parts say of the sitter."""
    return "-".join(filter(None, ("sitter", word(name))))


def write_prints(prints: Sequence[Print], job: Job, out: Path, overwrite: bool = False) -> Put:
    """Write parts into the folder of their job below `out`, all or none.

    Raises
    ------
    FileRefusedError
        The folder cannot be made or written, or is of another order; see `seatmesh.jobs.place.place_for`.
    """
    with in_staging(out) as stage:
        made = stage / "0"
        for one in prints:
            write_mesh(one.mesh, made / one.file, name=one.name)
        names = dict.fromkeys(one.run for one in prints)
        runs = [Run(name, tuple(one.file for one in prints if one.run == name)) for name in names]
        return put(made, out, job, runs, overwrite)
