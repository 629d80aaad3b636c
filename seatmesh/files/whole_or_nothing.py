"""Writing of files: whole or not at all. Every file that the project writes goes through here."""

from __future__ import annotations

import errno
import os
import secrets
import shutil
from collections.abc import Iterator, Mapping
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path

from seatmesh.errors import FileRefusedError

WRITE_BITS = 0o222
"""Of a file's mode; where none is set, somebody protected it."""
_IN_WORDS = {
    errno.ENOSPC: "the disk is full; free some space or choose another folder",
    errno.EDQUOT: "the disk quota is used up; free some space or choose another folder",
    errno.EACCES: "there is no permission to write there; choose another folder",
    errno.EPERM: "there is no permission to write there; choose another folder",
    errno.EROFS: "that place is read-only; choose another folder",
    errno.ENOTDIR: "a file stands where a folder is needed; choose another path",
    errno.EEXIST: "a file stands where a folder is needed; choose another path",
    errno.EISDIR: "a folder stands there; give the name of a file",
    errno.ENAMETOOLONG: "the name is too long; choose a shorter one",
    errno.ENOENT: "the folder cannot be made there; choose another folder",
}


@contextmanager
def atomic_path(path: str | Path) -> Iterator[Path]:
    """Lend a path in the same folder, same suffix, whose file takes the place of `path` on success.

    The file lent exists and is empty. When the block ends well it is put on the disk and renamed; else it is
    removed, and what stood at `path` before still stands there. Missing folders are made; a link is followed. A file
    that takes another's place may be read and written by the same people.

    Raises
    ------
    FileRefusedError
        The system refused, in words; or what stands at `path` is not a regular file, or is write-protected.
    """
    if not str(path) or "\0" in str(path):
        raise FileRefusedError(f"{str(path)!r} cannot be written: it names no file; give the name of a file.")
    with _in_words(path):
        target = Path(os.path.realpath(path))
        _refuse_other_than_file(path, target)
        target.parent.mkdir(parents=True, exist_ok=True)
        lent = target.with_name(f".{target.stem[:40]}-{secrets.token_hex(6)}{target.suffix}")
        lent.touch(exist_ok=False)
        try:
            yield lent
            with lent.open("rb") as written:
                os.fsync(written.fileno())
            if target.exists():
                shutil.copymode(target, lent)
            os.replace(lent, target)  # noqa: PTH105 - one name to make fail in tests
        finally:
            with suppress(OSError):
                lent.unlink(missing_ok=True)


def write_bytes(path: str | Path, data: bytes) -> None:
    """Write a file, whole or not at all; see `atomic_path`."""
    with atomic_path(path) as lent:
        lent.write_bytes(data)


def write_text(path: str | Path, text: str) -> None:
    """Write a text as UTF-8, its line ends as they are, whole or not at all; see `atomic_path`."""
    try:
        data = text.encode("utf-8")
    except UnicodeEncodeError as error:
        raise FileRefusedError(
            f"'{path}' cannot be written: character {error.start + 1} of the text is half a surrogate pair; "
            "take it out of the name or title that it comes from."
        ) from error
    write_bytes(path, data)


def write_together(files: Mapping[Path, bytes]) -> None:
    """Write several files that belong together: all of them, or none, and then what stood there before still does.

    Raises
    ------
    FileRefusedError
        As `atomic_path`, of the first that cannot be written.
    """
    before: dict[Path, bytes | None] = {}
    for path in files:
        with _in_words(path):
            before[path] = path.read_bytes() if path.is_file() else None
    try:
        with ExitStack() as stack:
            for path, data in files.items():
                stack.enter_context(atomic_path(path)).write_bytes(data)
    except BaseException:
        # One of them may have taken its place before the next could not.
        for path, data_before in before.items():
            with suppress(OSError):
                if path.is_file() and path.read_bytes() != data_before:
                    path.unlink() if data_before is None else path.write_bytes(data_before)
        raise


@contextmanager
def _in_words(path: str | Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        reason = _IN_WORDS.get(error.errno or 0, f"{error.strerror or error}; choose another path")
        raise FileRefusedError(f"'{path}' cannot be written: {reason}.") from error


def _refuse_other_than_file(path: str | Path, target: Path) -> None:
    if target.is_dir():
        raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR))
    # A device or a pipe would be replaced by the rename, not written to.
    if target.exists() and not target.is_file():
        raise FileRefusedError(f"'{path}' cannot be written: it is not a regular file; choose another path.")
    # A rename asks for leave to write the folder, not the file: who protected the file would not be heard.
    if target.exists() and not target.stat().st_mode & WRITE_BITS:
        raise FileRefusedError(
            f"'{path}' cannot be written: it is write-protected; take the protection off, or choose another path."
        )
