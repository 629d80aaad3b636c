"""A scan from a file of any kind that is read: the suffix says which."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

from seatmesh.errors import FileRefusedError, ValueRefusedError
from seatmesh.formats.obj.reader import read_obj
from seatmesh.formats.ply.reader import read_ply
from seatmesh.formats.point_list import read_points
from seatmesh.formats.scan_contents import THINNER, Raw, checked
from seatmesh.formats.stl.reader import read_stl
from seatmesh.formats.threemf.reader import read_3mf
from seatmesh.units import shown

Reader = Callable[[bytes, str], Raw]

READERS: dict[str, tuple[Reader, int]] = {
    ".stl": (read_stl, 80_000_000),
    ".obj": (read_obj, 30_000_000),
    ".ply": (read_ply, 80_000_000),
    ".3mf": (read_3mf, 30_000_000),
    ".csv": (read_points, 40_000_000),
    ".txt": (read_points, 40_000_000),
    ".xyz": (read_points, 40_000_000),
}
"""Reader and largest file in bytes: so large that any of them is read or refused within a few seconds and 1 GiB."""


def read_raw(path: str | Path) -> Raw:
    """Read points and triangles from a file.

    Raises
    ------
    ValueRefusedError
        Its suffix is none of `READERS`.
    FileRefusedError
        There is no such file, or it is too large, damaged, empty or not what its suffix says.
    """
    suffix = Path(path).suffix.lower()
    if suffix not in READERS:
        raise ValueRefusedError(
            "suffix of a scan",
            shown(Path(path).suffix),
            f"allowed are {', '.join(READERS)}",
            "choose one of them",
        )
    reader, most = READERS[suffix]
    where = f"scan '{path}'"
    return checked(reader(_bytes(path, most, where), where), where)


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
