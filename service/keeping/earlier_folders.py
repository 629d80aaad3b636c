"""Folders of the release that did not mark them: how one is told by its layout, and how its files get their signs.

Such a folder holds `in-use`, an empty file, and the folders `seats` and `making`. A seat lies in `seats/ID` with an
answer that names its id; files asked for later lie below it under the names that the routes of that release gave.
"""

from __future__ import annotations

import re
from contextlib import suppress
from pathlib import Path

from .contents import strangers_among_contents
from .index import NAMES
from .seat_folders import FILES, IN_USE, MAKING, PARTS, ROOMS, SEATS, is_file, is_folder, is_whole
from .signed_names import file_name, made_as, name_of

_NUMBER = r"-?\d+(\.\d+)?(e[-+]?\d+)?"
_FILE = re.compile(
    rf"(map-[0-9a-f]{{32}}\.(png|csv|json)|depth-grid-{_NUMBER}\.json|gauge(-{_NUMBER}){{3}}\.csv"
    rf"|mesh(-{_NUMBER}){{2}}\.(stl|stla|obj|ply|3mf|glb)|solid\.step|(heights|depths)-{_NUMBER}\.(png|txt|csv)"
    r"|order\.toml|report\.json|[a-z0-9]+-(mm|in|own)\.png|(sheets|job)-[0-9a-f]{32}\.(pdf|dxf|svg))(\.gz)?"
)
_BEING_WRITTEN = re.compile(
    r"[0-9a-f]{32}-[0-9a-f]{12}|\.?[0-9a-f]{24}(-[0-9a-f]{12})?"
    r"|(tmp|seatmesh-job-|seatmesh-views-)[0-9a-z_]{8}"
)
"""What that release left in `making` when it was ended; it stays there."""


def has_layout(folder: Path) -> bool:
    """Tell whether the uppermost entries of a folder are those of that release, and no others."""
    names = {path.name for path in folder.iterdir()}
    if IN_USE not in names or not names <= {IN_USE, *NAMES, *ROOMS}:
        return False
    lock = folder / IN_USE
    return (
        is_file(lock)
        and lock.stat().st_size == 0
        and all(is_folder(folder / one) for one in names & {*ROOMS})
    )


def unknown(folder: Path) -> list[str]:
    """Return the entries below `seats` and `making`, by their path, that that release did not make."""
    found = []
    if (folder / SEATS).exists():
        for seat in (folder / SEATS).iterdir():
            found += _unknown_in(seat) if is_whole(seat) else [seat]
    if (folder / MAKING).exists():
        making = (folder / MAKING).iterdir()
        found += [one for one in making if not (_BEING_WRITTEN.fullmatch(one.name) or made_as(one.name))]
    return sorted([str(one.relative_to(folder)) for one in found] + strangers_among_contents(folder))


def take_over(folder: Path) -> int:
    """Give the files of every seat the names that bear their sign; return the number of seats."""
    seats = [one for one in (folder / SEATS).iterdir() if is_whole(one)] if (folder / SEATS).exists() else []
    for seat in seats:
        files = seat / FILES
        for path in list(files.iterdir()) if is_folder(files) else []:
            if is_file(path) and _FILE.fullmatch(path.name):
                with suppress(OSError):
                    path.rename(files / file_name(seat.name, path.name))
    return len(seats)


def _unknown_in(seat: Path) -> list[Path]:
    found = []
    for path in seat.iterdir():
        if path.name == FILES and is_folder(path):
            found += [
                one
                for one in path.iterdir()
                if not (is_file(one) and (_FILE.fullmatch(one.name) or name_of(seat.name, one.name)))
            ]
        elif not (path.name in PARTS and is_file(path)):
            found.append(path)
    return found
