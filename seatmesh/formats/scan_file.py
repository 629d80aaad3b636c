"""A scan from a file of any kind that is read: the suffix says which."""

from __future__ import annotations

from pathlib import Path

from seatmesh.files.bounded import read_bounded
from seatmesh.formats.points.many import many_points
from seatmesh.formats.registry import format_of, formats_read
from seatmesh.formats.scan_contents import THINNER, Raw, checked


def read_raw(path: str | Path) -> Raw:
    """Read points and triangles from a file; of many millions of points a share.

    Raises
    ------
    ValueRefusedError
        Its suffix is that of no format that is read.
    FileRefusedError
        There is no such file, or it is too large, damaged, empty or not what its suffix says.
    """
    form = format_of(Path(path).suffix, formats_read(), "suffix of a scan")
    where = f"scan '{path}'"
    if (thinned := many_points(Path(path), form.suffix, where)) is not None:
        return checked(thinned, where)
    return checked(
        form.read_with()(read_bounded(path, where, form.largest_bytes, f"{THINNER}."), where), where
    )
