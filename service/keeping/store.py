"""What the service keeps: seats, which are precious, and files made of them, which can be made again.

Seats lie in folders of their own, files beside them by content; the index of both is a database that several
processes share. Files make room for files, never seats; a seat makes room only for other seats, and a pinned one for
none. What the service did not make is not in the index, so that it is neither given out nor taken away.
"""

from __future__ import annotations

import json
import sqlite3
import time
from collections.abc import Callable, Mapping
from contextlib import ExitStack, suppress
from pathlib import Path
from typing import Any, TypeVar

from seatmesh.files.names import folder_name

from .contents import content_path, content_ready, drop_content
from .kept import KeptSeat, SeatRow
from .opening import opened_index
from .room import NoRoomError, is_short, refuse_beyond, with_room
from .seat_folders import (
    ANSWER,
    ORDER,
    PARTS,
    ROOMS,
    SEAT,
    clear_making,
    is_file,
    is_folder,
    new_seat,
    read_bytes,
    seat_folder,
    take_away,
    write_new,
)
from .signed_names import GZ
from .stock import enter, take_stock

T = TypeVar("T")
USED_EACH_S = 2.0
"""Seconds after which it is written down again that something is in use."""


class Store:
    """Seats and files of one folder.

    Parameters
    ----------
    folder
        A folder that this process has claimed.
    most_bytes, most_seat_bytes
        Room for files that can be made again, and for seats.
    alone
        No other process has the folder now: what an earlier one left half is cleared away.

    Raises
    ------
    FileRefusedError
        The index cannot be reached, or is damaged while others have the folder.
    """

    def __init__(
        self, folder: Path, most_bytes: int, most_seat_bytes: int | None = None, *, alone: bool = True
    ) -> None:
        self.folder, self._most = folder, most_bytes
        self._most_seats = most_bytes if most_seat_bytes is None else most_seat_bytes
        self._told_used: dict[tuple[str, str], float] = {}
        for room in ROOMS:
            (folder / room).mkdir(parents=True, exist_ok=True)
        self.index, self.notes = opened_index(folder, alone=alone)
        if alone:
            clear_making(folder)
            take_stock(self.index, folder)
        self._make_room()

    # -- seats

    def has(self, seat: str, name: str = "") -> bool:
        """Tell whether a seat, or a file of it, is kept; and note that it is used."""
        found = (
            self.index.row("SELECT 1 FROM files WHERE seat = ? AND name = ?", (seat, name))
            if name
            else self.index.row("SELECT 1 FROM seats WHERE id = ?", (seat,))
        )
        if found is None:
            return False
        self._note_use(seat, name)
        return True

    def _note_use(self, seat: str, name: str) -> None:
        now = time.time()
        if now - self._told_used.get((seat, name), 0.0) < USED_EACH_S:
            return
        if len(self._told_used) > 10_000:
            self._told_used.clear()
        self._told_used[seat, name] = now
        # A store that cannot be written to still gives out what it has.
        with suppress(sqlite3.Error), self.index.change() as base:
            base.execute("UPDATE seats SET used = ? WHERE id = ?", (now, seat))
            if name:
                base.execute("UPDATE files SET used = ? WHERE seat = ? AND name = ?", (now, seat, name))

    def put_seat(self, seat: str, parts: Mapping[str, bytes]) -> None:
        """Keep a seat: its `PARTS`, in place together.

        Raises
        ------
        NoRoomError
            The seats that are kept leave none, as they are pinned; or the disk is full.
        InTheWayError
            Something that the service did not make stands in its place.
        """
        size = sum(map(len, parts.values()))
        refuse_beyond(size, self._most_seats, "seats_mb", "the seat")

        def put() -> None:
            with new_seat(self.folder, seat) as place:
                for name in PARTS:
                    write_new(place / name, parts[name])
            enter(self.index, self.folder, seat, time.time())

        with_room(put, self._drop_least_used_file)
        self._make_room(seat)

    def kept(self, seat: str) -> KeptSeat:
        """Return a kept seat as tasks take it.

        Raises
        ------
        KeyError
            It is not kept, or is damaged; then it is struck off, so that its order makes it again.
        OSError
            This process has too many files open, or no memory, to look.
        """
        try:
            order: Any = json.loads(read_bytes(self.folder, seat, ORDER))
            return KeptSeat(seat, order, read_bytes(self.folder, seat, SEAT))
        except (OSError, ValueError) as error:
            if is_short(error):
                raise
            self.forget(seat)
            raise KeyError(seat) from error

    def seats(self, most: int, before: tuple[float, str] | None = None) -> list[SeatRow]:
        """Return kept seats, those made last first; `before`: only those after this place in that order."""
        made, seat = before or (1e300, "")
        rows = self.index.rows(
            "SELECT * FROM seats WHERE made < ? OR (made = ? AND id > ?) ORDER BY made DESC, id LIMIT ?",
            (made, made, seat, most),
        )
        return [_row(one) for one in rows]

    def seat_row(self, seat: str) -> SeatRow | None:
        """Return what is known of a kept seat."""
        row = self.index.row("SELECT * FROM seats WHERE id = ?", (seat,))
        return None if row is None else _row(row)

    def pin(self, seat: str, pinned: bool) -> None:
        """Let a seat make room for no other, or as all do."""
        with self.index.change() as base:
            base.execute("UPDATE seats SET pinned = ? WHERE id = ?", (int(pinned), seat))

    def folder_name(self, seat: str) -> str:
        """Return the seat's title as the name of a file; see `seatmesh.files.names`."""
        row = self.index.row("SELECT title FROM seats WHERE id = ?", (seat,))
        return folder_name("seat" if row is None else row["title"])

    # -- files

    def put_file(self, seat: str, name: str, data: bytes, packed: bytes | None) -> None:
        """Keep a file of a kept seat, with its packed form where it has one.

        Raises
        ------
        NoRoomError
            It is larger than the whole store, or the disk is full.
        KeyError
            The seat is not kept any more.
        """
        size = len(data) + len(packed or b"")
        refuse_beyond(size, self._most, "store_mb", "the file")

        def put() -> None:
            # It takes long to write, and others may go on. They wait while it is put in place and entered, so that
            # none of them takes it away in between.
            with ExitStack() as ready:
                place = ready.enter_context(content_ready(self.folder, data))
                place_gz = None if packed is None else ready.enter_context(content_ready(self.folder, packed))
                base = ready.enter_context(self.index.change())
                if base.execute("SELECT 1 FROM seats WHERE id = ?", (seat,)).fetchone() is None:
                    raise KeyError(seat)
                content, gz = place(), None if place_gz is None else place_gz()
                base.execute(
                    "INSERT OR REPLACE INTO files VALUES (?, ?, ?, ?, ?, ?)",
                    (seat, name, content, gz, size, time.time()),
                )

        with_room(put, self._drop_least_used_file)
        self._make_room()

    def located(self, seat: str, name: str = "", packed: bool = False) -> Path:
        """Return where a kept file is, or its packed form; a name of "" is the answer to the seat's order.

        Raises
        ------
        KeyError
            It is not kept, or has been taken away from outside.
        """
        path = self._place(seat, name, packed)
        if path is None or not is_file(path) or not is_folder(path.parent):
            if not packed:
                self.forget(seat, name)
            raise KeyError(seat)
        self._note_use(seat, name)
        return path

    def _place(self, seat: str, name: str, packed: bool) -> Path | None:
        if not name:
            place = seat_folder(self.folder, seat)
            return place / (ANSWER + (GZ if packed else "")) if is_folder(place.parent) else None
        row = self.index.row("SELECT content, packed FROM files WHERE seat = ? AND name = ?", (seat, name))
        content = None if row is None else row["packed" if packed else "content"]
        return None if content is None else content_path(self.folder, content)

    def read(self, seat: str, name: str = "", packed: bool = False) -> bytes:
        """Return the bytes of a kept file; raises as `located`."""
        path = self.located(seat, name, packed)
        try:
            return path.read_bytes()
        except OSError as error:
            if is_short(error):
                raise
            self.forget(seat, name)
            raise KeyError(seat) from error

    # -- taking away

    def drop(self, seat: str, name: str = "") -> None:
        """Take away a file of a seat; with the name "" the whole seat, as far as the service made it."""
        # On a full disk it takes what is given up here to write down that it is gone.
        with self.index.change():
            self.forget(seat, name)
            if not name:
                take_away(self.folder, seat)

    def forget(self, seat: str, name: str = "") -> None:
        """Strike a file, or a seat with all its files, off the index, so that it is made again when it is asked for."""
        with self.index.change() as base:
            chosen, given = ("seat = ? AND name = ?", (seat, name)) if name else ("seat = ?", (seat,))
            gone = base.execute(f"SELECT content, packed FROM files WHERE {chosen}", given).fetchall()
            base.execute(f"DELETE FROM files WHERE {chosen}", given)
            if not name:
                base.execute("DELETE FROM seats WHERE id = ?", (seat,))
            for content in {one for row in gone for one in (row["content"], row["packed"]) if one}:
                if not base.execute(
                    "SELECT 1 FROM files WHERE content = ? OR packed = ?", (content, content)
                ).fetchone():
                    drop_content(self.folder, content)

    @property
    def total(self) -> int:
        """The bytes of all that is kept."""
        return self._bytes("seats") + self._bytes("files")

    def _bytes(self, table: str) -> int:
        found = self.index.row(f"SELECT coalesce(sum(size), 0) AS size FROM {table}")
        return int(found["size"]) if found else 0

    def _make_room(self, new: str = "") -> None:
        """Bring files and seats within their bounds: the least used go first, the new seat and pinned ones stay."""
        while self._bytes("files") > self._most and self._drop_least_used_file():
            pass
        while self._bytes("seats") > self._most_seats:
            row = self.index.row(
                "SELECT id FROM seats WHERE NOT pinned AND id != ? ORDER BY used, id LIMIT 1", (new,)
            )
            if row is None:
                break
            self.drop(row["id"])
        if new and self._bytes("seats") > self._most_seats:
            self.drop(new)
            raise NoRoomError(
                f"the pinned seats fill the {self._most_seats / 1e6:g} MB that there are for seats; "
                "unpin or delete some, or start the service with a larger seats_mb"
            )

    def making_room(self, write: Callable[[], T]) -> T:
        """Write something to the index; on a full disk files that can be made again go first; raises NoRoomError."""
        return with_room(write, self._drop_least_used_file)

    def _drop_least_used_file(self) -> bool:
        row = self.index.row("SELECT seat, name FROM files ORDER BY used, seat, name LIMIT 1")
        if row is not None:
            self.forget(row["seat"], row["name"])
        return row is not None

    def close(self) -> None:
        """Close the index."""
        self.index.close()


def _row(row: sqlite3.Row) -> SeatRow:
    return SeatRow(row["id"], row["title"], row["size"], row["made"], row["used"], bool(row["pinned"]))
