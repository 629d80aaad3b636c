"""A scan from a file of any kind that is read: the suffix says which."""

from __future__ import annotations

import os
from pathlib import Path

from seatmesh.errors import FileRefusedError
from seatmesh.formats.registry import format_of, formats_read
from seatmesh.formats.scan_contents import THINNER, Raw, checked


def read_raw(path: str | Path) -> Raw:
    """Read points and triangles from a file.

    Raises
    ------
    ValueRefusedError
        Its suffix is that of no format that is read.
    FileRefusedError
        There is no such file, or it is too large, damaged, empty or not what its suffix says.
    """
    form = format_of(Path(path).suffix, formats_read(), "suffix of a scan")
    where = f"scan '{path}'"
    return checked(form.read_with()(_bytes(path, form.largest_bytes, where), where), where)


def _bytes(path: str | Path, most: int, where: str) -> bytes:
    try:
        # A pipe or a device has no end to look at.
        if not Path(path).is_file():
            raise FileRefusedError(f"{where}: there is no such file; check the path.")
        with Path(path).open("rb") as file:
            size = os.fstat(file.fileno()).st_size
            if size > most:
                raise FileRefusedError(f"{where} has {size} bytes; allowed are {most}; {THINNER}.")
            return file.read(most)
    except (OSError, ValueError) as error:  # ValueError: a NUL in the path
        raise FileRefusedError(f"{where} cannot be read: {error}; check the path.") from error
