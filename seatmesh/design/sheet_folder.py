"""The folder of a seat's sheets: all of its files or none."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from seatmesh.design.orders.order import folder_name_of
from seatmesh.design.result_files import in_staging
from seatmesh.sheets.all_sheets import Sheets


def write_sheets(sheets: Sheets, title: str, out: Path, more: Mapping[str, bytes] | None = None) -> Path:
    """Write sheets, and more files beside them, into `out`/<name of the seat>/sheets; return that folder.

    They are made beside it and moved into place when all are there; whatever else is in the folder stays.

    Raises
    ------
    FileRefusedError
        The folder cannot be made or written.
    """
    files = {**sheets.files, **(more or {})}
    folder = out / folder_name_of(title) / "sheets"
    with in_staging(out) as stage:
        for name, data in files.items():
            (stage / name).write_bytes(data)
        folder.mkdir(parents=True, exist_ok=True)
        for name in files:
            (stage / name).replace(folder / name)
    return folder
