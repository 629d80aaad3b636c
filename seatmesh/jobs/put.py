"""Files come into a job's folder all together or not at all, and with them the record of what they were made from."""

from __future__ import annotations

import os
import secrets
import shutil
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from pathlib import Path

from seatmesh.errors import FileRefusedError
from seatmesh.jobs.place import Job, JobFolder, place_for, text_digest
from seatmesh.jobs.record import ORDER_COPY, RECORD, MadeFile, Record, record_text, way_to

MOST_NAMED = 6
"""As many files a note names; of more it gives the number."""


@dataclass(frozen=True)
class Run:
    """One set of files: it takes the place of what the run of the same name made before.

    Attributes
    ----------
    name
        Such as "shape" or "mock-up 1-4 seat"; it stands in the record.
    files
        What it made, from the folder, with slashes.
    """

    name: str
    files: tuple[str, ...]


@dataclass(frozen=True)
class Put:
    """Where the files went, their names from there, and what a maker should know."""

    folder: Path
    files: tuple[str, ...]
    notes: tuple[str, ...]


@contextmanager
def in_staging(out: Path) -> Iterator[Path]:
    """Lend a folder inside `out` to make files in, gone afterwards; FileRefusedError where it cannot be written."""
    was_there = out.exists()
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
        if not was_there:
            with suppress(OSError):  # It holds what was made.
                out.rmdir()


def put(made: Path, out: Path, job: Job, runs: Sequence[Run], overwrite: bool = False) -> Put:
    """Move finished files from `made`, inside a staging folder of `out`, into the folder of their job.

    A new folder appears whole. In one that is there files take one another's place, and all go back if one cannot;
    whatever else is in the folder stays. Files that an earlier run of the same name made and this one did not are
    removed, and so is all that was made from another order, where the maker said to write over it.

    Raises
    ------
    FileRefusedError
        As `place_for`.
    """
    files = tuple(sorted(path for run in runs for path in run.files))
    if job.order_copy is not None:
        (made / ORDER_COPY).write_bytes(job.order_copy.encode())
        files = (*files, ORDER_COPY)
    with _alone_in(out):
        place = place_for(out, job, files, overwrite)
        record, gone = _entered(place, job, runs)
        (made / RECORD).write_text(record_text(record), encoding="utf-8")
        if place.folder.exists():
            _exchange(made, place.folder, (RECORD, *files), gone)
        else:
            made.rename(place.folder)
    return Put(
        place.folder, tuple(sorted((RECORD, *files))), (*place.notes, *_notes(place, job, record, gone))
    )


def _entered(place: JobFolder, job: Job, runs: Sequence[Run]) -> tuple[Record, tuple[str, ...]]:
    """Return the record with the files of this run, and which earlier files go."""
    before = place.record or Record(job.made_from)
    new = {path: MadeFile(path, run.name, job.seat) for run in runs for path in run.files}
    names = {run.name for run in runs}
    old = [one for one in before.files if one.path not in new]
    gone = tuple(one.path for one in old if not place.is_own or one.run in names)
    if not place.is_own and job.order_copy is None and _is_unedited(place.folder / ORDER_COPY, before):
        gone = (*gone, ORDER_COPY)
    kept = [one for one in old if one.path not in gone]
    copy = before.order_copy if job.order_copy is None else text_digest(job.order_copy.encode())
    # A seat file knows less than the order that the folder was made from.
    keeps = place.record is not None and place.is_own and job.made_from.kind == "seat file"
    made_from = before.made_from if keeps else job.made_from
    folder = Path(os.path.realpath(place.folder))
    here = "" if made_from.kind == "demo" else way_to(made_from.name, folder)
    files = tuple(sorted((*kept, *new.values()), key=lambda one: one.path))
    return replace(before, made_from=made_from, from_here=here, order_copy=copy, files=files), gone


def _is_unedited(order_copy: Path, record: Record) -> bool:
    """Tell whether a folder's copy of its order is as the tool wrote it."""
    return order_copy.is_file() and text_digest(order_copy.read_bytes()) == record.order_copy


def _notes(place: JobFolder, job: Job, record: Record, gone: Sequence[str]) -> tuple[str, ...]:
    out = []
    if gone:
        out.append(
            f"removed from '{place.folder}', as this run takes their place without them: {_named(gone)}"
        )
    stale = [one.path for one in record.files if one.seat != job.seat]
    if stale:
        out.append(
            f"these files in '{place.folder}' show the seat in another shape than the files just made, or are of an "
            f"earlier release; make one or the other anew before you use them: {_named(stale)}"
        )
    return tuple(out)


def _named(paths: Sequence[str]) -> str:
    if len(paths) <= MOST_NAMED:
        return ", ".join(paths)
    places = dict.fromkeys(path.rpartition("/")[0] for path in paths)
    counts = {one: sum(path.rpartition("/")[0] == one for path in paths) for one in places}
    return ", ".join(
        f"{count} in {one}/" if one else f"{count} in the folder itself" for one, count in counts.items()
    )


def _exchange(made: Path, folder: Path, files: Sequence[str], gone: Sequence[str]) -> None:
    """Put files in the place of others and take some away, or leave all as it was."""
    before = made / ".before"
    saved: list[tuple[Path, Path | None]] = []
    try:
        for name in (*files, *gone):
            target = folder / name
            saved.append((target, _saved(target, before / name)))
            if name in gone:
                target.unlink(missing_ok=True)
            else:
                target.parent.mkdir(parents=True, exist_ok=True)
                _move(made / name, target)
    except BaseException:
        for target, old in reversed(saved):
            with suppress(OSError):
                target.unlink(missing_ok=True) if old is None else _move(old, target)
        raise
    for name in gone:
        for above in list((folder / name).relative_to(folder).parents)[:-1]:
            with suppress(OSError):  # Other files are in it.
                (folder / above).rmdir()


def _saved(target: Path, place: Path) -> Path | None:
    """Return a second name, or a copy, of a file that is about to be replaced; None where there is none."""
    if not target.is_file():
        return None
    place.parent.mkdir(parents=True, exist_ok=True)
    try:
        os.link(target, place)
    except OSError:  # Another disk, or a file system without second names.
        shutil.copy2(target, place)
    return place


def _move(source: Path, target: Path) -> None:
    """Rename a file over another, by way of a copy where both are not on one disk."""
    try:
        source.replace(target)
    except OSError as error:
        if source.stat().st_dev == target.parent.stat().st_dev:
            raise
        near = target.with_name(f".{secrets.token_hex(8)}")
        try:
            shutil.copy2(source, near)
            near.replace(target)
        except OSError:
            near.unlink(missing_ok=True)
            raise error from None


@contextmanager
def _alone_in(out: Path) -> Iterator[None]:
    """Wait until no other process puts files in place below `out`, where the system can tell."""
    handle = None
    with suppress(ImportError, OSError):
        import fcntl  # noqa: PLC0415 - not everywhere

        handle = os.open(out, os.O_RDONLY)
        fcntl.flock(handle, fcntl.LOCK_EX)
    try:
        yield
    finally:
        if handle is not None:
            os.close(handle)
