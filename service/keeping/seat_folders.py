"""The shelf of kept seats: where their files lie, how they come into place whole, and how only they are taken away.

::

    FOLDER/seatmesh-service.txt                             marks the folder as the service's own
    FOLDER/in-use                                           held by the services that have the folder
    FOLDER/index.sqlite                                     what is there, when it was used, which jobs wait
    FOLDER/seats/ID/order.json  seat.json  answer.json      made together, in place by one rename
    FOLDER/made/XX/HASH                                     what can be made again, by content: meshes, pictures
    FOLDER/making/                                          what is being written

Everything that is taken away later bears a sign: an id with an answer that names it, or a hash in its name. What bears
none was put there by somebody else and stays. No link is followed. Before there was an index, the files of a seat lay
in a folder `files` below it.
"""

from __future__ import annotations

import os
import re
import stat
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from .identity import is_id
from .signed_names import GZ, made_as, name_of, new_name

ORDER, SEAT, ANSWER, FILES = "order.json", "seat.json", "answer.json", "files"
PARTS = (ORDER, SEAT, ANSWER + GZ, ANSWER)
"""The files of a seat in the order in which they are put in place: with the last one it is whole."""
SEATS, MADE, MAKING = "seats", "made", "making"
ROOMS = (SEATS, MADE, MAKING)
IN_USE = "in-use"
_UNDER_WAY = re.compile(r"\.(order|seat|answer|answer\.json)-[0-9a-f]{12}\.(json|gz)")
"""A part of a seat while it is written; see `seatmesh.files.whole_or_nothing`."""


class InTheWayError(Exception):
    """Something that the service did not make stands where it has to put a file."""


def seat_folder(folder: Path, seat: str) -> Path:
    """Return the place of a seat in a store's folder."""
    return folder / SEATS / seat


def making(folder: Path) -> Path:
    """Return the place for what is being written."""
    return folder / MAKING


def is_file(path: Path) -> bool:
    """Tell whether a regular file stands at a path itself; a link to one is none."""
    with suppress(OSError, ValueError):
        return stat.S_ISREG(path.lstat().st_mode)
    return False


def is_folder(path: Path) -> bool:
    """Tell whether a folder stands at a path itself; a link to one is none."""
    with suppress(OSError, ValueError):
        return stat.S_ISDIR(path.lstat().st_mode)
    return False


def is_whole(place: Path) -> bool:
    """Tell whether a folder holds a seat: an order, a seat, and an answer that names the folder's own id."""
    if not is_id(place.name) or not is_folder(place):
        return False
    if not all(is_file(place / name) for name in (ORDER, SEAT, ANSWER)):
        return False
    begins = f'{{"id":"{place.name}"'.encode()
    with suppress(OSError), (place / ANSWER).open("rb") as opened:
        return opened.read(len(begins)) == begins
    return False


def located(folder: Path, seat: str, *names: str) -> Path:
    """Return where a file of a seat is, through no link.

    Raises
    ------
    OSError
        There is none.
    """
    place = seat_folder(folder, seat)
    above = [folder / SEATS, place, *(place.joinpath(*names[:end]) for end in range(1, len(names)))]
    path = place.joinpath(*names)
    if not all(map(is_folder, above)) or not is_file(path):
        raise FileNotFoundError(path)
    return path


def read_bytes(folder: Path, seat: str, *names: str) -> bytes:
    """Return the bytes of a file of a seat; raises as `located`."""
    return located(folder, seat, *names).read_bytes()


@contextmanager
def new_seat(folder: Path, seat: str) -> Iterator[Path]:
    """Lend an empty folder for a seat's files; when the block ends well they are put in place together.

    Where the seat's folder is there already its files, which have the same bytes, are renewed one by one.

    Raises
    ------
    InTheWayError
        Something else stands in their place.
    """
    target = seat_folder(folder, seat)
    room = making(folder)
    with suppress(FileExistsError):
        room.mkdir()
    staged = room / new_name(seat)
    staged.mkdir()
    try:
        yield staged
        sync(staged)
        _refuse_in_the_way(target.parent, is_folder(target.parent))
        try:
            staged.rename(target)
        except OSError:
            if not os.path.lexists(target):
                raise
            _renew(staged, target)
        sync(target.parent)
    finally:
        clear(staged, seat)


def take_away(folder: Path, seat: str) -> None:
    """Take away what the service made of a seat; what else lies in its folder stays there, and then the folder too."""
    place = seat_folder(folder, seat)
    if not is_folder(folder / SEATS) or not is_folder(place):
        return
    if not _strangers_of(place, seat):
        # All at once, so that no half seat is left by a process that is ended here.
        gone = making(folder) / new_name(seat)
        with suppress(OSError):
            place.rename(gone)
            place = gone
    clear(place, seat)


def clear(place: Path, seat: str) -> None:
    """Take away the files of a seat from a folder, and the folder if nothing else is in it."""
    if not is_folder(place):
        return
    for name in (ANSWER, *sorted(os.listdir(place))):  # noqa: PTH208 - names alone
        if (name in PARTS or _UNDER_WAY.fullmatch(name)) and is_file(place / name):
            (place / name).unlink(missing_ok=True)
    clear_files(place, seat)
    with suppress(OSError):
        place.rmdir()


def clear_files(place: Path, seat: str) -> None:
    """Take away what an earlier release kept in a seat's folder `files`; it can be made again."""
    files = place / FILES
    if is_folder(files):
        for path in files.iterdir():
            if name_of(seat, path.name) and is_file(path):
                path.unlink(missing_ok=True)
        with suppress(OSError):
            files.rmdir()


def clear_making(folder: Path) -> None:
    """Take away what an earlier service was writing when it was ended."""
    for path in making(folder).iterdir():
        stem = made_as(path.name)
        if stem is None:
            continue
        if is_file(path) and stem == "file":
            path.unlink(missing_ok=True)
        elif is_id(stem):
            clear(path, stem)


def strangers_in(folder: Path) -> list[str]:
    """Return the entries of the rooms, by their path, that the service did not make or that are no whole seat."""
    seats = [f"{SEATS}/{one.name}" for one in (folder / SEATS).iterdir() if not is_whole(one)]
    others = [f"{MAKING}/{one.name}" for one in making(folder).iterdir() if made_as(one.name) is None]
    return sorted(seats) + sorted(others)


def write_new(path: Path, data: bytes) -> None:
    """Write a new file and put it on the disk."""
    with path.open("xb") as opened:
        opened.write(data)
        opened.flush()
        os.fsync(opened.fileno())


def sync(folder: Path) -> None:
    """Put a folder's entries on the disk."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _renew(staged: Path, target: Path) -> None:
    _refuse_in_the_way(target, is_folder(target))
    for name in PARTS:
        _refuse_in_the_way(target / name, is_file(target / name) or not os.path.lexists(target / name))
    for name in PARTS:
        if is_file(staged / name):
            (staged / name).replace(target / name)


def _refuse_in_the_way(path: Path, is_free: bool) -> None:
    if not is_free:
        raise InTheWayError(
            f"'{'/'.join(path.parts[-2:])}' in the service's folder stands where a seat is kept, and the service did "
            "not make it; move it elsewhere"
        )


def _strangers_of(place: Path, seat: str) -> bool:
    """Tell whether a seat's folder holds anything that the service did not make."""
    for path in place.iterdir():
        if path.name == FILES and is_folder(path):
            if not all(name_of(seat, one.name) and is_file(one) for one in path.iterdir()):
                return True
        elif not (path.name in PARTS and is_file(path)):
            return True
    return False
