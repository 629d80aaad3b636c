"""The index of kept seats: what is there, in the order of last use; the least used make room for new ones."""

from __future__ import annotations

import json
import os
import secrets
import shutil
from collections import OrderedDict
from contextlib import suppress
from pathlib import Path
from typing import Any

from seatmesh.names import folder_name

from .identity import is_id
from .shelf import ANSWER, FILES, GZ, ORDER, is_packed, making, seat_folder, unusable

Key = tuple[str, str]


class Store:
    """The index of what is kept, in the order of last use. One process only has it; workers write files."""

    def __init__(self, folder: Path, most_bytes: int) -> None:
        self.folder = folder
        self._most = most_bytes
        self._sizes: OrderedDict[Key, int] = OrderedDict()
        self._names: dict[str, str] = {}
        self.total = 0
        self._open()

    def _open(self) -> None:
        try:
            shutil.rmtree(making(self.folder), ignore_errors=True)
            making(self.folder).mkdir(parents=True, exist_ok=True)
            (self.folder / "seats").mkdir(exist_ok=True)
            found = sorted(self._found(), key=lambda one: one[1])
        except OSError as error:
            raise unusable(self.folder, error) from error
        for key, _ in found:
            self.add(*key)

    def _found(self) -> list[tuple[Key, float]]:
        found: list[tuple[Key, float]] = []
        for place in (self.folder / "seats").iterdir():
            if not is_id(place.name) or not (place / ANSWER).is_file():
                shutil.rmtree(place, ignore_errors=True)
                continue
            files = [one for one in (place / FILES).glob("*") if one.is_file() and not is_packed(one)]
            found += [((place.name, one.name), one.stat().st_mtime) for one in files]
            newest = max((one.stat().st_mtime for one in (place / ANSWER, *files)), default=0.0)
            # A seat outlives its files.
            found.append(((place.name, ""), newest + 1e-3))
        return found

    def path(self, seat: str, name: str) -> Path:
        """Return where a file of a seat is; a name of "" is the answer to its order."""
        place = seat_folder(self.folder, seat)
        return place / FILES / name if name else place / ANSWER

    def has(self, seat: str, name: str = "") -> bool:
        """Tell whether a seat, or a file of it, is kept; and note that it is used."""
        if (seat, name) not in self._sizes:
            return False
        self._sizes.move_to_end((seat, name))
        self._sizes.move_to_end((seat, ""))
        return True

    def read(self, seat: str, name: str = "", packed: bool = False) -> bytes:
        """Return the bytes of a kept file, or of its packed form.

        Raises
        ------
        KeyError
            It is not kept, or has been taken away from outside.
        """
        try:
            path = self.path(seat, name)
            data = (path.with_name(path.name + GZ) if packed else path).read_bytes()
        except OSError as error:
            self.drop(seat, name)
            raise KeyError(seat) from error
        self.has(seat, name)
        return data

    def add(self, seat: str, name: str = "") -> None:
        """Enter what a worker has written, and make room."""
        if (seat, name) in self._sizes or (name and (seat, "") not in self._sizes and not self._there(seat)):
            return
        size = self._size(seat, name)
        self._sizes[seat, name] = size
        self.total += size
        if (seat, "") in self._sizes:
            self._sizes.move_to_end((seat, ""))
        self._make_room()

    def drop(self, seat: str, name: str) -> None:
        """Take away a file of a seat; with the name "" the whole seat."""
        keys = [(seat, name)] if name else [key for key in self._sizes if key[0] == seat]
        for key in keys:
            self.total -= self._sizes.pop(key, 0)
        if name:
            for path in self._both(seat, name):
                path.unlink(missing_ok=True)
            return
        self._names.pop(seat, None)
        gone = making(self.folder) / secrets.token_hex(12)
        with suppress(OSError):
            seat_folder(self.folder, seat).rename(gone)
        shutil.rmtree(gone, ignore_errors=True)

    def folder_name(self, seat: str) -> str:
        """Return the seat's title as the name of a file; see `seatmesh.names`."""
        if seat not in self._names:
            order: Any = json.loads((seat_folder(self.folder, seat) / ORDER).read_bytes())
            self._names[seat] = folder_name(str(order.get("title", "seat")))
        return self._names[seat]

    def remember_use(self) -> None:
        """Write down which seats were used last, so that the next start knows."""
        for seat, name in self._sizes:
            if not name:
                with suppress(OSError):
                    os.utime(self.path(seat, ""))

    def _both(self, seat: str, name: str) -> tuple[Path, Path]:
        """Return the places of a file and of its packed form."""
        path = self.path(seat, name)
        return path, path.with_name(path.name + GZ)

    def _there(self, seat: str) -> bool:
        return self.path(seat, "").is_file()

    def _size(self, seat: str, name: str) -> int:
        if name:
            return sum(one.stat().st_size for one in self._both(seat, name) if one.is_file())
        place = seat_folder(self.folder, seat)
        return sum(one.stat().st_size for one in place.iterdir() if one.is_file())

    def _make_room(self) -> None:
        while self.total > self._most and len(self._sizes) > 1:
            self.drop(*next(iter(self._sizes)))
