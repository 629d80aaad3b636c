"""Readings that stand in several files: a gauge sheet's, and further ones of the same carving."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from seatmesh.errors import FileRefusedError
from seatmesh.gauge.readings.readings_file import Row, checked_rows, read_readings


def read_several(paths: Sequence[str | Path]) -> tuple[Row, ...]:
    """Read a gauge sheet and files of further readings of the same seat; raises as `read_readings` does."""
    files = [read_readings(path) for path in paths]
    if len(files) == 1:
        return files[0]
    for k, later in enumerate(files):
        for before, earlier in zip(paths[:k], files[:k], strict=True):
            if later == earlier:
                raise FileRefusedError(
                    f"readings '{paths[k]}' say the same as '{before}': a file counts once; give it once."
                )
    rows = [
        replace(row, source=k, file=str(path))
        for k, (path, file) in enumerate(zip(paths, files, strict=True))
        for row in file
    ]
    return checked_rows(rows, "readings")
