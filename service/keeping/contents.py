"""Files by content: each lies under the hash of its bytes, so that equal ones are there once and none is ever half.

A name is the whole hash, and what lies under it has that hash: nobody else puts such a file there by chance. No link
is followed.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from .seat_folders import MADE, is_file, is_folder, making, write_new
from .signed_names import new_name

_NAME = re.compile(r"[0-9a-f]{64}")
_GROUP = re.compile(r"[0-9a-f]{2}")


def content_path(folder: Path, content: str) -> Path:
    """Return where the bytes of a hash lie."""
    return folder / MADE / content[:2] / content


@contextmanager
def content_ready(folder: Path, data: bytes) -> Iterator[Callable[[], str]]:
    """Write some bytes beside their place; what is lent puts them there, in no time, and returns their hash.

    Raises
    ------
    OSError
        The disk is full, or a room of the folder is no folder.
    """
    content = hashlib.sha256(data).hexdigest()
    target, staged = content_path(folder, content), staged_path(folder, "file")

    def is_there() -> bool:
        return is_file(target) and target.stat().st_size == len(data)

    def place() -> str:
        if not is_there():
            if not is_file(staged):
                # It was there before, or somebody took the room away in between.
                staged_path(folder, "file")
                write_new(staged, data)
            _rooms_for(target)
            staged.replace(target)
        return content

    try:
        if not is_there():
            write_new(staged, data)
        yield place
    finally:
        with suppress(OSError):
            staged.unlink(missing_ok=True)


def put_content(folder: Path, data: bytes) -> str:
    """Put some bytes in place, whole or not at all; return their hash; raises as `content_ready`."""
    with content_ready(folder, data) as place:
        return place()


def _rooms_for(target: Path) -> None:
    for room in (target.parent.parent, target.parent):
        with suppress(FileExistsError):
            room.mkdir()
        if not is_folder(room):
            raise NotADirectoryError(room)


def staged_path(folder: Path, stem: str) -> Path:
    """Return a new path in the room for what is being written; the room is made anew where somebody took it away."""
    room = making(folder)
    with suppress(FileExistsError):
        room.mkdir()
    return room / new_name(stem)


def drop_content(folder: Path, content: str) -> None:
    """Take the bytes of a hash away."""
    path = content_path(folder, content)
    if is_folder(path.parent) and is_file(path):
        with suppress(OSError):
            path.unlink(missing_ok=True)


def contents(folder: Path) -> Iterator[str]:
    """Yield the hashes of all that lies there by content."""
    room = folder / MADE
    for group in room.iterdir() if is_folder(room) else ():
        if _GROUP.fullmatch(group.name) and is_folder(group):
            for path in group.iterdir():
                if _NAME.fullmatch(path.name) and path.name[:2] == group.name and is_file(path):
                    yield path.name


def strangers_among_contents(folder: Path) -> list[str]:
    """Return the entries, by their path, that are no file under its hash."""
    room, found = folder / MADE, []
    for group in room.iterdir() if is_folder(room) else ():
        if not (_GROUP.fullmatch(group.name) and is_folder(group)):
            found.append(f"{MADE}/{group.name}")
            continue
        found += [
            f"{MADE}/{group.name}/{path.name}"
            for path in group.iterdir()
            if not (_NAME.fullmatch(path.name) and is_file(path))
        ]
    return sorted(found)
