"""An archive of the seats of a batch: a folder each, with order, seat file, figures and the files made of it."""

from __future__ import annotations

import tempfile
import zipfile
from pathlib import Path
from typing import Any, BinaryIO, cast

from .seat_folders import ANSWER, ORDER, SEAT, read_bytes
from .store import Store

MEMBERS = {ORDER: "order.json", SEAT: "seat.json", ANSWER: "figures.json"}
WHEN = (1980, 1, 1, 0, 0, 0)
"""The time of every member, so that the same files always make the same archive."""


def archive_of(store: Store, rows: list[dict[str, Any]], scratch: Path) -> BinaryIO:
    """Return an open file with the archive, which is gone when it is closed.

    What made room for others meanwhile, or was refused, is told in `missing.txt`.
    """
    # Whoever sends it closes it.
    out = tempfile.TemporaryFile(dir=scratch)  # noqa: SIM115
    missing = []
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as archive:
        for number, row in enumerate(rows, start=1):
            seat, name = row["seat"], f"{number:03d}-{store.folder_name(row['seat'])}"
            if row["refusal"] is not None:
                missing.append(f"{number} {row['title']}: {row['refusal']}")
                continue
            try:
                for part, member in MEMBERS.items():
                    _add(archive, f"{name}/{member}", read_bytes(store.folder, seat, part))
                for file in row["files"]:
                    _add(
                        archive,
                        f"{name}/{store.folder_name(seat)}{Path(file).suffix}",
                        store.read(seat, file),
                    )
            except (KeyError, OSError):
                missing.append(f"{number} {row['title']}: it made room for others; post the batch again")
        if missing:
            _add(archive, "missing.txt", ("\n".join(missing) + "\n").encode())
    out.seek(0)
    return cast(BinaryIO, out)


def _add(archive: zipfile.ZipFile, name: str, data: bytes) -> None:
    archive.writestr(zipfile.ZipInfo(name, WHEN), data, zipfile.ZIP_DEFLATED)
