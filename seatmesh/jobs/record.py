"""What a job's folder says of itself: from which order it was made, and which of its files are the tool's."""

from __future__ import annotations

import json
import os
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import Any, Literal

from seatmesh.errors import InputError
from seatmesh.formats.seat_file_fields import from_table, to_plain

RECORD = "made-from.json"
ORDER_COPY = "order.toml"
"""The order that the demo leaves, for the maker to start from; once edited it is the maker's."""
FORMAT, VERSION = "seatmesh job", 1
LARGEST_BYTES = 1_000_000
EARLIER = "earlier release"
"""Run of the files that stood there before there were records."""

Kind = Literal["order file", "seat file", "demo"]


@dataclass(frozen=True)
class MadeFrom:
    """What a job is made from.

    Attributes
    ----------
    kind, name
        "order file" or "seat file" and its whole path; "demo" and the name of the order there.
    title, sitters
        Of the order or seat, as the maker wrote them.
    digest
        Hash of all that the order says, its sitters' bodies with it.
    """

    kind: Kind
    name: str
    title: str
    sitters: tuple[str, ...]
    digest: str

    def in_words(self) -> str:
        """Return what it is and for whom, for a sentence."""
        what = f"the demo's order '{self.name}'" if self.kind == "demo" else f"the {self.kind} '{self.name}'"
        return f"{what} for {', '.join(self.sitters)}" if self.sitters else what

    def shares_sitters(self, other: MadeFrom) -> bool:
        """Tell whether both are for the same people, or for some of them; a seat file does not say for whom."""
        return not self.sitters or not other.sitters or bool({*self.sitters} & {*other.sitters})


@dataclass(frozen=True)
class MadeFile:
    """A file of the folder that the tool made.

    Attributes
    ----------
    path
        From the folder, with slashes.
    run
        What made it, such as "shape" or "mock-up 1-4 seat".
    seat
        Hash of the seat that it shows; empty where an earlier release made it.
    """

    path: str
    run: str
    seat: str


@dataclass(frozen=True)
class Record:
    """All that `RECORD` holds.

    Attributes
    ----------
    made_from
        The order or seat.
    from_here
        The way from the folder to that file, with slashes, so that both may move together; empty where there is none.
    order_copy
        Hash of `ORDER_COPY` as the tool wrote it; empty where it wrote none.
    files
        What the tool made, but for `ORDER_COPY`.
    """

    made_from: MadeFrom
    from_here: str = ""
    order_copy: str = ""
    files: tuple[MadeFile, ...] = ()

    def places(self, folder: Path) -> tuple[Path, ...]:
        """Return where the file that the folder was made from may lie."""
        if self.made_from.kind == "demo":
            return ()
        near = (folder / self.from_here,) if self.from_here else ()
        return (Path(self.made_from.name), *near)


def record_text(record: Record) -> str:
    """Return a record as the text of its file."""
    table = {"format": FORMAT, "version": VERSION, **to_plain(record, Record)}
    return json.dumps(table, indent=1, ensure_ascii=True, allow_nan=False) + "\n"


def read_record(folder: Path) -> Record | None:
    """Return the record of a folder; None where there is none, or none that this release can read."""
    path = folder / RECORD
    with suppress(OSError, ValueError, RecursionError, InputError):
        if path.stat().st_size <= LARGEST_BYTES:
            table = json.loads(path.read_bytes())
            if isinstance(table, dict) and (table.pop("format", 0), table.pop("version", 0)) == (
                FORMAT,
                VERSION,
            ):
                record = from_table(Record, table, RECORD)
                return record if all(_lies_inside(one.path) for one in record.files) else None
    return None


def _lies_inside(path: str) -> bool:
    """Tell whether a path stays within its folder: what a record names may be replaced or removed."""
    parts = PurePosixPath(path).parts
    return bool(parts) and not {"..", "/"} & {*parts} and not any(sign in path for sign in "\\:\0")


@dataclass(frozen=True)
class Earlier:
    """A folder of an earlier release, which kept no record: what its own files say."""

    title: str
    sitters: tuple[str, ...] | None
    files: tuple[str, ...]


EARLIER_SEAT = "seat.json"
EARLIER_FILES = (
    "seat*.json", "seat.stl", "seat.obj", "mock-up-1-4-mm.stl", "depths*.csv", "report.json", "report.txt",
    "contact.png", "sections.png", "light-lines.png", "plan*.png", "peak-by-depth.png", "view.png",
    "sheets/sheets.*", "sheets/stage-*.pdf", "sheets/job-sheet.pdf", "sheets/holes.csv",
)  # fmt: skip
"""All that earlier releases left in a seat's folder, but for the demo's copy of its order."""


def read_earlier(folder: Path) -> Earlier | None:
    """Return what a folder without a record says, where an earlier release plainly made it; else None."""
    seat, report = _object(folder / EARLIER_SEAT), _object(folder / "report.json")
    title = seat.get("title")
    if seat.get("format") != "seatmesh seat" or not isinstance(title, str):
        return None
    names = [one.get("name") for one in _tables(report.get("sitters"))]
    sitters = tuple(map(str, names)) if report.get("title") == title and names else None
    found: set[Path] = {path for pattern in EARLIER_FILES for path in folder.glob(pattern) if path.is_file()}
    return Earlier(title, sitters, tuple(sorted(path.relative_to(folder).as_posix() for path in found)))


def way_to(path: str, folder: Path) -> str:
    """Return the way from a folder to a file, with slashes; empty where there is none, as between two drives."""
    with suppress(ValueError):
        return Path(os.path.relpath(path, folder)).as_posix()
    return ""


def _object(path: Path) -> dict[str, Any]:
    with suppress(OSError, ValueError, RecursionError):
        table = json.loads(path.read_bytes())
        return table if isinstance(table, dict) else {}
    return {}


def _tables(value: Any) -> Iterable[dict[str, Any]]:
    return [one for one in value if isinstance(one, dict)] if isinstance(value, list) else []
