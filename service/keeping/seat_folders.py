"""The folder of kept seats, and how files come into it: whole or not at all.

::

    FOLDER/seats/ID/order.json  seat.json  answer.json      made together, in place by one rename
    FOLDER/seats/ID/files/NAME                              what was asked for later: meshes, pictures, tables
    FOLDER/making/                                          what is being written; emptied at every start
    FOLDER/in-use                                           held by the service that has the folder
"""

from __future__ import annotations

import os
import secrets
import shutil
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from seatmesh.errors import FileRefusedError
from seatmesh.files.whole_or_nothing import write_bytes

ORDER, SEAT, ANSWER, FILES = "order.json", "seat.json", "answer.json", "files"
GZ = ".gz"


def seat_folder(folder: Path, seat: str) -> Path:
    """Return the place of a seat in a store's folder."""
    return folder / "seats" / seat


def making(folder: Path) -> Path:
    """Return the place for what is being written."""
    return folder / "making"


def claim(folder: Path) -> int:
    """Return a handle that keeps other services off a folder as long as this process lives, however it ends.

    Raises
    ------
    FileRefusedError
        Another service has the folder, or it cannot be made.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        handle = os.open(folder / "in-use", os.O_CREAT | os.O_RDWR, 0o600)
    except OSError as error:
        raise unusable(folder, error) from error
    if sys.platform != "win32":
        import fcntl  # noqa: PLC0415 - not everywhere

        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError as error:
            os.close(handle)
            raise FileRefusedError(
                f"the folder '{folder}' is in use by another service; stop that one, or choose another with --folder."
            ) from error
    return handle


def unusable(folder: Path, error: OSError) -> FileRefusedError:
    """Return the refusal of a folder in words."""
    return FileRefusedError(
        f"the folder '{folder}' cannot be used: {error.strerror}; choose another with --folder."
    )


@contextmanager
def new_seat(folder: Path, seat: str) -> Iterator[Path]:
    """Lend an empty folder for a seat's files; when the block ends well they are put in place together.

    A seat that is there already stays, as it has the same bytes.
    """
    target = seat_folder(folder, seat)
    staged = making(folder) / f"{seat}-{secrets.token_hex(6)}"
    staged.mkdir()
    try:
        yield staged
        sync(staged)
        with suppress(OSError):  # Another worker was first.
            staged.rename(target)
        sync(target.parent)
    finally:
        shutil.rmtree(staged, ignore_errors=True)


def keep_file(folder: Path, seat: str, name: str, data: bytes) -> None:
    """Put one more file of a kept seat in place, whole or not at all."""
    staged = making(folder) / secrets.token_hex(12)
    write_bytes(staged, data)
    place = seat_folder(folder, seat) / FILES
    place.mkdir(exist_ok=True)
    staged.replace(place / name)
    sync(place)


def is_packed(path: Path) -> bool:
    """Tell whether a file is the packed form of another; one without the other is cleared away."""
    if path.suffix != GZ:
        return False
    if not path.with_suffix("").is_file():
        path.unlink(missing_ok=True)
    return True


def sync(folder: Path) -> None:
    """Put a folder's entries on the disk."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
