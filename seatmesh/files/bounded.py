"""Files are read whole, but no larger than what is read of them may be."""

from __future__ import annotations

from pathlib import Path

from seatmesh.errors import FileRefusedError

RIGHT_FILE = "is it the right file?"


def read_bounded(path: str | Path, where: str, most_bytes: int, advice: str = RIGHT_FILE) -> bytes:
    """Return the bytes of a regular file; `where` names it in refusals, `advice` says what to do with a larger one.

    Raises
    ------
    FileRefusedError
        There is no such file, it is a folder, a pipe or a device, cannot be read or is larger than `most_bytes`.
    """
    refuse_unreadable(path, where, most_bytes, advice)
    try:
        with Path(path).open("rb") as stream:
            return stream.read(most_bytes)
    except OSError as error:
        raise FileRefusedError(f"{where} cannot be read: {error}; check the path.") from error


def refuse_unreadable(path: str | Path, where: str, most_bytes: int, advice: str = RIGHT_FILE) -> None:
    """Refuse what is no regular file, or a larger one than is read; see `read_bounded`."""
    try:
        file = Path(path)
        if file.is_dir():
            raise FileRefusedError(f"{where} is a folder; give the file inside it.")
        if not file.exists():
            raise FileRefusedError(f"{where}: there is no such file; check the path.")
        if not file.is_file():
            # A pipe or a device has no end to look at.
            raise FileRefusedError(f"{where} is not a regular file; give a file.")
        size = file.stat().st_size
    except (OSError, ValueError) as error:  # ValueError: a NUL in the path
        raise FileRefusedError(f"{where} cannot be read: {error}; check the path.") from error
    if size > most_bytes:
        raise FileRefusedError(f"{where} has {size} bytes; at most {most_bytes} are read; {advice}")
