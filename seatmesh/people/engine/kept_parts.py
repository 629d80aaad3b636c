"""A folder with finished parts: each is written whole or not at all, so work that was cut short goes on from there.

`people.json` tells what they were made from. A folder of anything else is refused and left as it is.
"""

from __future__ import annotations

import io
import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.errors import FileRefusedError
from seatmesh.files.whole_or_nothing import write_bytes, write_text
from seatmesh.people.engine.part_work import PartWork
from seatmesh.people.table import COLUMNS, PeopleTable

RECORD = "people.json"
FORMAT = "seatmesh people"


@dataclass(frozen=True)
class KeptParts:
    """A folder, and how many people each part has."""

    folder: Path
    sizes: Sequence[int]

    def path(self, part: int) -> Path:
        """Return where a part lies; its name says how many people it holds, as the last one may hold fewer."""
        return self.folder / f"part-{part:05d}-{self.sizes[part]}.npy"

    def missing(self) -> list[int]:
        """Return the parts that are not there, or are not whole."""
        return [part for part in range(len(self.sizes)) if self._read(part) is None]

    def keep(self, part: int, rows: Floats) -> None:
        """Write a finished part."""
        out = io.BytesIO()
        np.save(out, np.ascontiguousarray(rows), allow_pickle=False)
        write_bytes(self.path(part), out.getvalue())

    def tables(self) -> Iterator[PeopleTable]:
        """Yield the parts in order, one in memory at a time; FileRefusedError where one is gone."""
        for part in range(len(self.sizes)):
            rows = self._read(part)
            if rows is None:
                raise FileRefusedError(f"'{self.path(part)}' is gone or damaged; start the command again.")
            yield PeopleTable(rows)

    def _read(self, part: int) -> Floats | None:
        try:
            rows: Floats = np.load(self.path(part), allow_pickle=False)
        except (OSError, ValueError, EOFError):
            return None
        return rows if rows.shape == (self.sizes[part], len(COLUMNS)) and rows.dtype == np.float64 else None


def kept_parts(folder: Path, work: PartWork, sizes: Sequence[int]) -> KeptParts:
    """Return the parts kept in a folder, which is made where it is not there.

    Raises
    ------
    FileRefusedError
        The folder holds parts of another seat, public or seed, or something else.
    """
    record = folder / RECORD
    wanted = {"format": FORMAT, "digest": work.digest, "made_from": work.made_from()}
    if not record.is_file():
        if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
            raise FileRefusedError(
                f"'{folder}' holds something else; name a new folder, or an empty one, for the parts."
            )
        write_text(record, json.dumps(wanted, indent=1, sort_keys=True) + "\n")
        return KeptParts(folder, sizes)
    try:
        found = json.loads(record.read_text(encoding="utf-8"))
    except (OSError, ValueError) as error:
        raise FileRefusedError(f"'{record}' cannot be read: {error}; name another folder.") from error
    if not isinstance(found, dict) or found.get("digest") != work.digest:
        what = _difference(found.get("made_from") if isinstance(found, dict) else None, work)
        raise FileRefusedError(
            f"'{folder}' holds people of another question (other {what}); name another folder, or remove that one."
        )
    return KeptParts(folder, sizes)


def _difference(found: object, work: PartWork) -> str:
    own = work.made_from()
    if not isinstance(found, dict):
        return "record"
    return ", ".join(name for name, value in own.items() if found.get(name) != value) or "record"
