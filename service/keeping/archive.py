"""An archive of the seats of a batch: a folder each, with order, seat file, figures and the files made of it."""

from __future__ import annotations

import tempfile
import zipfile
from functools import partial
from pathlib import Path
from typing import IO, Any, BinaryIO, cast

from .batches import was_made
from .seat_folders import ANSWER, ORDER, SEAT, read_bytes
from .store import Store

MEMBERS = {ORDER: "order.json", SEAT: "seat.json", ANSWER: "figures.json"}
WHEN = (1980, 1, 1, 0, 0, 0)
"""The time of every member, so that the same files always make the same archive."""


def archive_of(store: Store, rows: list[dict[str, Any]], scratch: Path) -> BinaryIO:
    """Return an open file with the archive, which is gone when it is closed.

    What made room for others meanwhile, or was refused, is told in `missing.txt`.

    Raises
    ------
    OSError
        The disk has no room for it.
    """
    # Whoever sends it closes it.
    out = tempfile.TemporaryFile(dir=scratch)  # noqa: SIM115
    try:
        _fill(out, store, rows)
        out.seek(0)
    except BaseException:
        out.close()
        raise
    return cast(BinaryIO, out)


def _fill(out: IO[bytes], store: Store, rows: list[dict[str, Any]]) -> None:
    missing = []
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as archive:
        for number, row in enumerate(rows, start=1):
            # A title that was refused may have several lines.
            called = f"{number} {' '.join(row['title'].split())}"
            if row["refusal"] is not None:
                missing.append(f"{called}: {row['refusal']}")
            if was_made(row) and not _add_seat(archive, store, number, row):
                missing.append(f"{called}: it, or a file of it, made room for others; post the batch again")
        if missing:
            _add(archive, "missing.txt", ("\n".join(missing) + "\n").encode())


def _add_seat(archive: zipfile.ZipFile, store: Store, number: int, row: dict[str, Any]) -> bool:
    """Add the folder of a seat; tell whether all that was made of it is there still."""
    seat, title = row["seat"], store.folder_name(row["seat"])
    name, whole = f"{number:03d}-{title}", True
    read = {
        f"{name}/{member}": partial(read_bytes, store.folder, seat, part) for part, member in MEMBERS.items()
    }
    read |= {f"{name}/{title}{Path(file).suffix}": partial(store.read, seat, file) for file in row["files"]}
    for member, bytes_of in read.items():
        # Only what cannot be read is missing: a disk without room for the archive is another matter.
        try:
            data = bytes_of()
        except (KeyError, FileNotFoundError, NotADirectoryError):
            whole = False
            continue
        _add(archive, member, data)
    return whole


def _add(archive: zipfile.ZipFile, name: str, data: bytes) -> None:
    archive.writestr(zipfile.ZipInfo(name, WHEN), data, zipfile.ZIP_DEFLATED)
