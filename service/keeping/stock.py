"""Taking stock: index and folder are brought together when a service has the folder alone."""

from __future__ import annotations

import json
from contextlib import suppress
from pathlib import Path
from typing import Any

from .contents import contents, drop_content
from .index import Index
from .seat_folders import (
    ANSWER,
    FILES,
    ORDER,
    PARTS,
    SEATS,
    clear_files,
    is_file,
    is_folder,
    is_whole,
    read_bytes,
    seat_folder,
)


def take_stock(index: Index, folder: Path) -> None:
    """Have the whole seats of the folder in the index, and only them; files that the index does not know go."""
    there = {one.name: one for one in filter(is_whole, (folder / SEATS).iterdir())}
    known = {row["id"] for row in index.rows("SELECT id FROM seats")}
    with index.change() as base:
        base.executemany("DELETE FROM seats WHERE id = ?", [(one,) for one in known - set(there)])
    for seat in set(there) - known:
        # One that cannot be read is not given out, and keeps no other from it.
        with suppress(OSError):
            enter(index, folder, seat, (there[seat] / ANSWER).stat().st_mtime)
    for seat, place in there.items():
        if is_folder(place / FILES):
            clear_files(place, seat)
    rows = index.rows("SELECT content, packed FROM files")
    held = {one for row in rows for one in (row["content"], row["packed"]) if one}
    for content in [one for one in contents(folder) if one not in held]:
        drop_content(folder, content)


def enter(index: Index, folder: Path, seat: str, made: float) -> None:
    """Enter a seat that is in place."""
    place = seat_folder(folder, seat)
    size = sum((place / part).stat().st_size for part in PARTS if is_file(place / part))
    with index.change() as base:
        base.execute(
            "INSERT INTO seats (id, title, size, made, used) VALUES (?, ?, ?, ?, ?) "
            "ON CONFLICT (id) DO UPDATE SET size = excluded.size, used = excluded.used",
            (seat, _title(folder, seat), size, made, made),
        )


def _title(folder: Path, seat: str) -> str:
    with suppress(OSError, ValueError):
        order: Any = json.loads(read_bytes(folder, seat, ORDER))
        return str(order.get("title", "seat"))
    return "seat"
