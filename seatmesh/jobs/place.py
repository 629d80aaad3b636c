"""Which folder a job's files go into, and whether they may: a folder of another order is not written over untold."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path

from seatmesh.errors import FileRefusedError
from seatmesh.files.names import as_one_name, folder_name, same_title, told_apart
from seatmesh.files.whole_or_nothing import WRITE_BITS
from seatmesh.jobs.record import (
    EARLIER,
    EARLIER_SEAT,
    ORDER_COPY,
    RECORD,
    Earlier,
    MadeFile,
    MadeFrom,
    Record,
    read_earlier,
    read_record,
)

TODO = (
    "Give it another title, choose another folder with --out, or add --overwrite to write over what is there."
)


@dataclass(frozen=True)
class Job:
    """What is about to be written.

    Attributes
    ----------
    made_from
        The order or seat that it is made from.
    seat
        Hash of the seat, from `seatmesh.formats.seat_file.seat_digest`; empty as long as it is not shaped.
    order_copy
        Text of the order to leave beside the results; the demo's only.
    """

    made_from: MadeFrom
    seat: str = ""
    order_copy: str | None = None


@dataclass(frozen=True)
class JobFolder:
    """Where a job's files go.

    Attributes
    ----------
    folder
        It need not be there yet.
    record
        What stands there and may be written over, None for nothing; files of an earlier release are entered in it.
    is_own
        Whether that was made from the same order; False where the maker said to write over another's.
    notes
        What a maker should know of it.
    """

    folder: Path
    record: Record | None
    is_own: bool
    notes: tuple[str, ...]


def place_for(out: Path, job: Job, files: Sequence[str] = (), overwrite: bool = False) -> JobFolder:
    """Return the folder of a job below `out`; nothing is written.

    It is the one that was made from the same order under this title, else the one named after the title. Where that
    belongs to another title, as names leave some letters out, the title gets one of its own.

    Parameters
    ----------
    files
        What is to be written into it, with slashes; a file of theirs that nobody made on record is not written over.
    overwrite
        Whether the maker said to write over a folder of another order.

    Raises
    ------
    FileRefusedError
        The folder of this title was made from another order, holds files that are not the tool's, or cannot be
        written.
    """
    _check_out(out)
    plain = folder_name(job.made_from.title)
    standing = _standing(out)
    names = (plain, told_apart(plain, job.made_from.title))
    found = {name: standing.get(as_one_name(name), []) for name in names}
    for folder in (one for name in names for one in found[name]):
        record = read_record(folder)
        has_title = record is not None and same_title(record.made_from.title, job.made_from.title)
        if record is not None and has_title and is_same(record, folder, job):
            return _checked(JobFolder(folder, record, True, ()), job, files, overwrite)
    beside: tuple[str, ...] = ()
    for name in names:
        exact = out / name
        folder = exact if os.path.lexists(exact) or not found[name] else found[name][0]
        place = _place(folder, job, overwrite)
        if place is not None:
            told = JobFolder(place.folder, place.record, place.is_own, (*beside, *place.notes))
            return _checked(told, job, files, overwrite)
        beside = (f"'{folder}' belongs to another title; the folder of this one is '{out / names[1]}'",)
    raise FileRefusedError(f"'{out / names[1]}' belongs to another title. {TODO}")


def is_same(record: Record, folder: Path, job: Job) -> bool:
    """Tell whether a folder of a job's title was made from the order that the job is made from.

    It was where the order says the same, or is the same file, wherever both were moved together; but not where that
    file is now for other people, as when one order serves as the form for the next. Where either is but a seat file,
    the seat decides.
    """
    given = job.made_from
    if given.digest and given.digest == record.made_from.digest:
        return True
    if given.kind == "demo":
        return record.made_from.kind == "demo" and record.made_from.name == given.name
    if any(_are_one(place, Path(given.name)) for place in (*record.places(folder), folder / ORDER_COPY)):
        return given.shares_sitters(record.made_from)
    if "seat file" not in (given.kind, record.made_from.kind) or not given.shares_sitters(record.made_from):
        return False
    if _are_one(Path(record.made_from.name), folder / EARLIER_SEAT):
        # Of a folder from before there were records nothing more is known.
        return given.sitters == record.made_from.sitters
    # As long as the seat is not shaped, the answer waits.
    return not job.seat or job.seat in {one.seat for one in record.files}


def _place(folder: Path, job: Job, overwrite: bool) -> JobFolder | None:
    """Return a folder that no record gives to this order, if it may be used; None where it is another title's."""
    given = job.made_from
    if not os.path.lexists(folder):
        return JobFolder(folder, None, True, ())
    if not folder.is_dir():
        raise FileRefusedError(
            f"the results cannot go into '{folder}': a file or a broken link stands where the folder is needed. "
            "Move it away, give another title, or choose another folder with --out."
        )
    record = read_record(folder)
    if record is not None:
        return _of_another(folder, record, given, overwrite)
    if (folder / RECORD).exists():
        _refuse_unless(overwrite, f"'{folder}' holds a {RECORD} that this release cannot read. {TODO}")
        return JobFolder(folder, None, True, ())
    earlier = read_earlier(folder)
    if earlier is None:
        return JobFolder(folder, None, True, ())
    return _of_earlier(folder, earlier, given, overwrite)


def _of_another(folder: Path, record: Record, given: MadeFrom, overwrite: bool) -> JobFolder | None:
    other = record.made_from
    if not same_title(other.title, given.title):
        return None
    _refuse_unless(
        overwrite,
        f"'{folder}' was made from {other.in_words()}; {given.in_words()} has the same title, '{given.title}'. {TODO}",
    )
    note = f"what was made from {other.in_words()} in '{folder}' makes room for what is made from {given.in_words()}"
    return JobFolder(folder, record, False, (note,))


def _of_earlier(folder: Path, earlier: Earlier, given: MadeFrom, overwrite: bool) -> JobFolder | None:
    """Return a folder of an earlier release: this order's where title and sitters are the same."""
    if not same_title(earlier.title, given.title):
        return None
    own = given.kind == "seat file" and _are_one(folder / EARLIER_SEAT, Path(given.name))
    if not own and (earlier.sitters is None or earlier.sitters != given.sitters):
        _refuse_unless(
            overwrite,
            f"'{folder}' was made by an earlier release, which kept no record of its order, and for other sitters than "
            f"those of {given.in_words()}. {TODO}",
        )
    files = tuple(MadeFile(path, EARLIER, "") for path in earlier.files)
    note = f"'{folder}' was made by an earlier release; it has the title and sitters of {given.in_words()}, and counts "
    known = replace(given, sitters=earlier.sitters or given.sitters)
    return JobFolder(folder, Record(known, files=files), True, (f"{note}as made from it",))


def _checked(place: JobFolder, job: Job, files: Sequence[str], overwrite: bool) -> JobFolder:
    """Return a place after each file was found free to write."""
    folder = place.folder
    if not folder.exists():
        return place
    if not os.access(folder, os.W_OK | os.X_OK) or not folder.stat().st_mode & WRITE_BITS:
        raise FileRefusedError(
            f"'{folder}' is write-protected; take the protection off, or choose another folder with --out."
        )
    known = {RECORD, *(one.path for one in place.record.files)} if place.record else set()
    if job.order_copy is not None:
        _check_order_copy(folder / ORDER_COPY, place.record, job.order_copy, overwrite)
        known.add(ORDER_COPY)
    for name in files:
        _check_file(folder, name, name in known or overwrite)
    return place


def _check_file(folder: Path, name: str, may_be_there: bool) -> None:
    path = folder / name
    for above in (*path.relative_to(folder).parents,)[-2::-1]:
        if os.path.lexists(folder / above) and not (folder / above).is_dir():
            raise FileRefusedError(
                f"'{folder / above}' is a file where a folder is needed; move it away, or choose another with --out."
            )
    if not os.path.lexists(path):
        return
    if path.is_symlink() or not path.is_file():
        raise FileRefusedError(
            f"'{path}' is no plain file but a folder or a link; move it away, or choose another folder with --out."
        )
    if not path.stat().st_mode & WRITE_BITS:
        raise FileRefusedError(
            f"'{path}' is write-protected; take the protection off, or choose another folder with --out."
        )
    if not may_be_there:
        raise FileRefusedError(
            f"'{path}' is there already and no record says that seatmesh made it. Move it away, choose another folder "
            "with --out, or add --overwrite to write over it."
        )


def _check_order_copy(path: Path, record: Record | None, text: str, overwrite: bool) -> None:
    """Refuse to write over an order that the maker has edited."""
    with suppress(FileNotFoundError, NotADirectoryError):
        there = path.read_bytes()
        if there == text.encode() or (record and text_digest(there) == record.order_copy):
            return
        _refuse_unless(
            overwrite,
            f"'{path}' was edited, and would be lost. Keep it elsewhere, choose another folder with --out, or add "
            "--overwrite.",
        )


def text_digest(data: bytes) -> str:
    """Return the hash by which a text is known again."""
    return hashlib.sha256(data).hexdigest()


def _standing(out: Path) -> dict[str, list[Path]]:
    """Return what stands in a folder, by the name that a file system which minds neither case nor form would see."""
    found: dict[str, list[Path]] = {}
    for path in sorted(out.iterdir()) if out.is_dir() else ():
        found.setdefault(as_one_name(path.name), []).append(path)
    return found


def _check_out(out: Path) -> None:
    """Refuse a folder for results that is none, or cannot be written, before any work is done."""
    above = next((one for one in (out, *out.absolute().parents) if os.path.lexists(one)), None)
    reason = ""
    if above is None or not above.is_dir():
        reason = f"'{above}' is not a folder"
    elif not os.access(above, os.W_OK | os.X_OK) or not above.stat().st_mode & WRITE_BITS:
        reason = f"'{above}' is write-protected"
    if reason:
        raise FileRefusedError(f"the folder '{out}' cannot be written: {reason}; choose another with --out.")


def _are_one(one: Path, other: Path) -> bool:
    with suppress(OSError):
        if one.samefile(other):
            return True
    return os.path.realpath(one) == os.path.realpath(other)


def _refuse_unless(overwrite: bool, words: str) -> None:
    if not overwrite:
        raise FileRefusedError(words)
