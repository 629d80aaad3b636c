"""The folder that a service is given: it is empty or the service's own; services of one release may share it.

A folder of anybody else's is refused before anything is written. The service marks its own by a file of a name that
nothing else has. That file is the first thing written, and its name alone is the mark: a start that is killed in the
middle of writing it leaves a folder that the next start takes.
"""

from __future__ import annotations

import errno
import os
import sys
import time
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

from seatmesh.errors import FileRefusedError
from seatmesh.units import shown

from . import earlier_folders as former
from .contents import strangers_among_contents
from .index import NAMES
from .seat_folders import IN_USE, ROOMS, is_file, is_folder, strangers_in

MARK = "seatmesh-service.txt"
FIRST_LINE = "seatmesh serve keeps seats in this folder.\n"
TEXT = (
    FIRST_LINE
    + "To make room it takes away what it made itself, without asking. All else that lies here it leaves alone.\n"
    + "layout 3\n"
)
PATIENCE_S = 5.0
"""Seconds to wait while another service clears up in the folder."""
NAMED = 3
"""Entries that a message names; of more it gives the number."""
_NO_LINK = getattr(os, "O_NOFOLLOW", 0)
_WHY = {
    errno.EACCES: "there is no permission to write there",
    errno.EPERM: "there is no permission to write there",
    errno.EROFS: "that place is read-only",
    errno.ENOTDIR: "a file stands where a folder is needed",
    errno.ENOSPC: "the disk is full",
    errno.ENAMETOOLONG: "its name is too long",
}


@dataclass(frozen=True)
class Claim:
    """A folder that this process has: a handle that holds it, if no other has it, and what its owner should be told.

    One that has it alone keeps others off until it calls `share`, so that it can clear up before.
    """

    handle: int
    alone: bool
    notes: tuple[str, ...]

    def share(self) -> None:
        """Let others have the folder too."""
        if sys.platform != "win32":
            import fcntl  # noqa: PLC0415 - not everywhere

            fcntl.flock(self.handle, fcntl.LOCK_SH)


def claim(folder: Path) -> Claim:
    """Hold a folder for as long as this process lives, however it ends; make and mark it if it is new.

    Raises
    ------
    FileRefusedError
        It holds what the service did not make and is not marked, it cannot be made or written to, a file or a link
        stands in place of a folder, or another service has it. Nothing in it was changed.
    """
    with _in_words(folder):
        owner = _owner(folder)
        made = _make(folder)
        try:
            if owner == "nobody":
                mark(folder)
            handle, alone = _lock(folder)
        except BaseException:
            _unmake(made)
            raise
        try:
            notes = _adopt(folder) if owner == "former" else []
            mark(folder)
            _make_rooms(folder)
        except BaseException:
            os.close(handle)
            raise
        left_alone = _strangers(folder)
        if left_alone:
            notes.append(f"in '{folder}' the service leaves alone what it did not make: {named(left_alone)}")
        return Claim(handle, alone, tuple(notes))


def mark(folder: Path) -> None:
    """Mark a folder as the service's own; a mark that was cut short is made whole, one of another layout stays."""
    path = folder / MARK
    try:
        handle = os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o644)
    except FileExistsError:
        if not _is_mark(path):
            raise FileRefusedError(_not_a_mark(folder)) from None
        if path.stat().st_size >= len(FIRST_LINE):
            return
        handle = os.open(path, os.O_WRONLY | _NO_LINK)
    try:
        os.write(handle, TEXT.encode())
        os.fsync(handle)
    finally:
        os.close(handle)


def named(entries: Sequence[str]) -> str:
    """Return the first few of some entries in words."""
    first = ", ".join(shown(one) for one in entries[:NAMED])
    more = len(entries) - NAMED
    return f"{first} and {more} more" if more > 0 else first


def _owner(folder: Path) -> str:
    """Return whose a folder is: "nobody" (missing or empty), "own" or "former" (an earlier release's).

    Raises
    ------
    FileRefusedError
        It is somebody else's.
    """
    if folder.is_symlink() and not folder.exists():
        raise _refused(folder, "it is a link that leads nowhere")
    if folder.exists() and not folder.is_dir():
        raise _refused(folder, "a file stands there")
    entries = sorted(os.listdir(folder)) if folder.exists() else []  # noqa: PTH208 - names alone
    if not entries:
        return "nobody"
    if MARK in entries:
        if not _is_mark(folder / MARK):
            raise FileRefusedError(_not_a_mark(folder))
        return "own"
    if not former.has_layout(folder):
        raise FileRefusedError(
            f"the folder '{folder}' holds what the service did not make: {named(entries)}. Nothing in it was touched; "
            "choose an empty folder, or a new one, with --folder."
        )
    unknown = former.unknown(folder)
    if unknown:
        raise FileRefusedError(
            f"the folder '{folder}' looks like one that an earlier release kept seats in, but the service did not "
            f"make {named(unknown)}. Nothing in it was touched; move that elsewhere, or choose another folder with "
            "--folder."
        )
    return "former"


def _is_mark(path: Path) -> bool:
    """Tell whether a file is a mark, whole or cut short."""
    if not is_file(path):
        return False
    with path.open("rb") as opened:
        text = opened.read(10 * len(TEXT))
    return text.startswith(FIRST_LINE.encode()) or TEXT.encode().startswith(text)


def _not_a_mark(folder: Path) -> str:
    return (
        f"the folder '{folder}' holds '{MARK}', which the service did not write. Nothing in it was touched; choose an "
        "empty folder, or a new one, with --folder."
    )


def _make(folder: Path) -> list[Path]:
    """Make a folder and those above it that are missing; return those that were made, the uppermost first."""
    missing = [one for one in (folder, *folder.parents) if not one.exists()][::-1]
    made: list[Path] = []
    try:
        for one in missing:
            one.mkdir()
            made.append(one)
    except FileExistsError:
        if not folder.is_dir():
            raise
    except OSError:
        _unmake(made)
        raise
    if not os.access(folder, os.R_OK | os.W_OK | os.X_OK):
        raise _refused(folder, "there is no permission to write there")
    return made


def _unmake(made: Iterable[Path]) -> None:
    """Take away folders that were just made, as far as they are empty but for the mark."""
    for one in reversed(list(made)):
        with suppress(OSError):
            if sorted(os.listdir(one)) == [MARK] and _is_mark(one / MARK):  # noqa: PTH208
                (one / MARK).unlink()
            one.rmdir()


def _lock(folder: Path) -> tuple[int, bool]:
    """Return a handle that holds the folder, and whether no other service has it."""
    path = folder / IN_USE
    if path.is_symlink() or (path.exists() and not is_file(path)):
        raise _refused(folder, f"'{IN_USE}' in it is not the file that the service keeps there")
    handle = os.open(path, os.O_CREAT | os.O_RDWR | _NO_LINK, 0o600)
    if sys.platform == "win32":
        return handle, True
    import fcntl  # noqa: PLC0415 - not everywhere

    until = time.monotonic() + PATIENCE_S
    while True:
        for kind, alone in ((fcntl.LOCK_EX, True), (fcntl.LOCK_SH, False)):
            with suppress(BlockingIOError):
                fcntl.flock(handle, kind | fcntl.LOCK_NB)
                return handle, alone
        if time.monotonic() > until:
            os.close(handle)
            raise FileRefusedError(
                f"the folder '{folder}' is in use by another service that shares it with none; stop that one, or "
                "choose another with --folder."
            )
        time.sleep(0.05)


def _adopt(folder: Path) -> list[str]:
    """Make the folder of an earlier release the service's own; return what to say of it."""
    seats = former.take_over(folder)
    return [
        f"'{folder}' was made by an earlier release; its {seats} kept seat{'' if seats == 1 else 's'} "
        f"{'is' if seats == 1 else 'are'} taken over, and the folder is marked by '{MARK}' from now on"
    ]


def _make_rooms(folder: Path) -> None:
    for name in ROOMS:
        room = folder / name
        with suppress(FileExistsError):
            room.mkdir()
        if not is_folder(room):
            what = "a link, and the service follows none" if room.is_symlink() else "a file"
            raise _refused(folder, f"'{name}' in it is {what}; a folder has to stand there")
        if not os.access(room, os.R_OK | os.W_OK | os.X_OK):
            raise _refused(folder, f"there is no permission to write to '{name}' in it")


def _strangers(folder: Path) -> list[str]:
    known = {MARK, IN_USE, *NAMES, *ROOMS}
    above = [name for name in os.listdir(folder) if name not in known]  # noqa: PTH208
    return sorted(above) + strangers_in(folder) + strangers_among_contents(folder)


def _refused(folder: Path, why: str) -> FileRefusedError:
    return FileRefusedError(f"the folder '{folder}' cannot be used: {why}; choose another with --folder.")


@contextmanager
def _in_words(folder: Path) -> Iterator[None]:
    try:
        yield
    except (OSError, ValueError) as error:
        number = error.errno if isinstance(error, OSError) else None
        raise _refused(
            folder, _WHY.get(number or 0, getattr(error, "strerror", None) or str(error))
        ) from error
