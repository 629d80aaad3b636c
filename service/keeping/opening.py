"""Opening the index: a damaged one is made anew from the seats, one that cannot be reached now is left alone."""

from __future__ import annotations

from pathlib import Path

from seatmesh.errors import FileRefusedError

from .index import DamagedIndexError, Index, UnreachableIndexError, take_away_index


def opened_index(folder: Path, *, alone: bool) -> tuple[Index, list[str]]:
    """Return the index of a folder, and what its owner should be told.

    Raises
    ------
    FileRefusedError
        It cannot be reached now, or it is damaged and another process uses it.
    """
    try:
        return Index(folder), []
    except UnreachableIndexError as error:
        raise FileRefusedError(
            f"the index of the folder '{folder}' cannot be reached: {error}; nothing was lost. See that the disk has "
            "room and that this user may write there, and start again."
        ) from error
    except DamagedIndexError as error:
        if not alone:
            raise FileRefusedError(
                f"the index of the folder '{folder}' is damaged, and another service has it; stop all services of the "
                "folder, and start one: it makes the index anew from the seats."
            ) from error
        take_away_index(folder)
        note = (
            "the index of the folder was damaged and is made anew from the seats in it; which seats were pinned, and "
            "jobs that waited, are lost"
        )
        return Index(folder), [note]
