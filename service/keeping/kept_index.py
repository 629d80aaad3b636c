"""The index of kept seats: what is there, in the order of last use; the least used make room for new ones."""

from __future__ import annotations

import json
import os
from collections import OrderedDict
from contextlib import suppress
from pathlib import Path
from typing import Any

from seatmesh.files.names import folder_name

from .seat_folders import (
    ANSWER,
    FILES,
    ORDER,
    PARTS,
    ROOMS,
    SEATS,
    clear_making,
    is_file,
    is_folder,
    is_whole,
    located,
    read_bytes,
    seat_folder,
    take_away,
)
from .signed_names import GZ, file_name, name_of

Key = tuple[str, str]


class Store:
    """The index of what is kept, in the order of last use. One process only has it; workers write files.

    What the service did not make is not in the index, so that it is neither given out nor taken away.
    """

    def __init__(self, folder: Path, most_bytes: int) -> None:
        self.folder = folder
        self._most = most_bytes
        self._sizes: OrderedDict[Key, int] = OrderedDict()
        self._names: dict[str, str] = {}
        self.total = 0
        for room in ROOMS:
            (folder / room).mkdir(parents=True, exist_ok=True)
        clear_making(folder)
        for key, _ in sorted(self._found(), key=lambda one: one[1]):
            self.add(*key)

    def _found(self) -> list[tuple[Key, float]]:
        found: list[tuple[Key, float]] = []
        for place in filter(is_whole, (self.folder / SEATS).iterdir()):
            # One that cannot be read is not given out, and keeps no other from it.
            with suppress(OSError):
                times = {name: one.stat().st_mtime for name, one in self._files_of(place).items()}
                # A seat outlives its files.
                newest = max((place / ANSWER).stat().st_mtime, *times.values(), 0.0) + 1e-3
                found += [((place.name, name), time) for name, time in (*times.items(), ("", newest))]
        return found

    def _files_of(self, place: Path) -> dict[str, Path]:
        """Return the files of a seat by their names; a packed form that its file did not follow is taken away."""
        files = place / FILES
        known = {name_of(place.name, one.name): one for one in files.iterdir()} if is_folder(files) else {}
        own = {name: path for name, path in known.items() if name and is_file(path)}
        for name in [one for one in own if one.endswith(GZ)]:
            packed = own.pop(name)
            if name.removesuffix(GZ) not in own:
                packed.unlink(missing_ok=True)
        return own

    def path(self, seat: str, name: str) -> Path:
        """Return where a file of a seat is; a name of "" is the answer to its order."""
        place = seat_folder(self.folder, seat)
        return place / FILES / file_name(seat, name) if name else place / ANSWER

    def has(self, seat: str, name: str = "") -> bool:
        """Tell whether a seat, or a file of it, is kept; and note that it is used."""
        if (seat, name) not in self._sizes:
            return False
        for key in ((seat, name), (seat, "")):
            if key in self._sizes:
                self._sizes.move_to_end(key)
        return True

    def read(self, seat: str, name: str = "", packed: bool = False) -> bytes:
        """Return the bytes of a kept file, or of its packed form.

        Raises
        ------
        KeyError
            It is not kept, or has been taken away from outside.
        """
        names = (FILES, self.path(seat, name).name) if name else (ANSWER,)
        try:
            data = read_bytes(self.folder, seat, *names[:-1], names[-1] + (GZ if packed else ""))
        except OSError as error:
            self.forget(seat, name)
            raise KeyError(seat) from error
        self.has(seat, name)
        return data

    def located(self, seat: str, name: str = "", packed: bool = False) -> Path:
        """Return the path of a kept file, or of its packed form, and note its use.

        Raises
        ------
        KeyError
            It is not kept.
        """
        path = self.path(seat, name)
        names = (FILES, path.name) if name else (ANSWER,)
        try:
            found = located(self.folder, seat, *names[:-1], names[-1] + (GZ if packed else ""))
        except OSError as error:
            if not packed:
                self.forget(seat, name)
            raise KeyError(seat) from error
        self.has(seat, name)
        return found

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
        """Take away a file of a seat; with the name "" the whole seat, as far as the service made it."""
        self.forget(seat, name)
        if not name:
            take_away(self.folder, seat)
        elif is_folder(seat_folder(self.folder, seat) / FILES):
            for path in filter(is_file, self._both(seat, name)):
                with suppress(OSError):
                    path.unlink(missing_ok=True)

    def forget(self, seat: str, name: str = "") -> None:
        """Strike a file or a whole seat off the index, so that it is made again when it is asked for."""
        for key in [(seat, name)] if name else [key for key in self._sizes if key[0] == seat]:
            self.total -= self._sizes.pop(key, 0)
        if not name:
            self._names.pop(seat, None)

    def folder_name(self, seat: str) -> str:
        """Return the seat's title as the name of a file; see `seatmesh.files.names`."""
        if seat not in self._names:
            title = "seat"
            with suppress(OSError, ValueError):
                order: Any = json.loads(read_bytes(self.folder, seat, ORDER))
                title = str(order.get("title", "seat"))
            self._names[seat] = folder_name(title)
        return self._names[seat]

    def remember_use(self) -> None:
        """Write down which seats were used last, so that the next start knows."""
        for seat, name in self._sizes:
            if not name and is_folder(seat_folder(self.folder, seat)):
                with suppress(OSError):
                    os.utime(self.path(seat, ""), follow_symlinks=False)

    def _both(self, seat: str, name: str) -> tuple[Path, Path]:
        """Return the places of a file and of its packed form."""
        path = self.path(seat, name)
        return path, path.with_name(path.name + GZ)

    def _there(self, seat: str) -> bool:
        return is_whole(seat_folder(self.folder, seat))

    def _size(self, seat: str, name: str) -> int:
        place = seat_folder(self.folder, seat)
        files = self._both(seat, name) if name else tuple(place / part for part in PARTS)
        return sum(one.stat().st_size for one in files if is_file(one))

    def _make_room(self) -> None:
        while self.total > self._most and len(self._sizes) > 1:
            self.drop(*next(iter(self._sizes)))
