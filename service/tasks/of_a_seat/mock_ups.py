"""The parts of a mock-up of a kept seat for a printer, packed together with a list of them."""

from __future__ import annotations

import io
import zipfile

from seatmesh.design.prints import PrinterBed, mock_up_prints, print_facts
from seatmesh.design.steps import step
from seatmesh.files.csv_table import csv_text
from seatmesh.formats.mesh_file import mesh_bytes
from seatmesh.mock_up.seat import factor_of

from ...keeping.kept import KeptSeat
from .kept import kept_seat, nth_sitter

WHEN = (1980, 1, 1, 0, 0, 0)
"""No clock stands in the file: the same parts are the same bytes."""
LIST, NOTES = "parts.csv", "notes.txt"


def mock_up_zip(
    kept: KeptSeat,
    scale: str,
    bed_mm: tuple[float, float, float],
    wall_mm: float,
    sitter: int,
    shell_mm: float | None,
) -> bytes:
    """Return a zip: each part as STL, `parts.csv` with how many of each, and notes; `sitter` 0 makes no sitter."""
    across, along, up = bed_mm
    body = nth_sitter(kept, sitter) if sitter else None
    step("cutting the seat to the bed", 0.1)
    printer = PrinterBed((across, along, up), wall_mm)
    prints, notes = mock_up_prints(kept_seat(kept), factor_of(scale), printer, body, shell_mm)
    step("packing the parts", 0.9)
    rows, out = [], io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:

        def put(name: str, data: bytes) -> None:
            archive.writestr(zipfile.ZipInfo(name, WHEN), data, zipfile.ZIP_DEFLATED)

        for one in prints:
            name = one.file.rpartition("/")[2]
            put(name, mesh_bytes(one.mesh, ".stl", name=one.name))
            size = [f"{float(mm):.1f}" for mm in print_facts(one)["extents_mm"]]
            rows.append((name, str(one.count), *size))
        head = ("file", "count", "width_mm", "depth_mm", "height_mm")
        put(LIST, csv_text(head, rows).encode())
        if notes:
            put(NOTES, "".join(f"{note}\n" for note in notes).encode())
    return out.getvalue()
