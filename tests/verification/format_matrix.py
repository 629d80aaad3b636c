"""Every format in every reader, in one table: `python tests/verification/format_matrix.py`.

A seat, deeper on the sitter's right so that a mirrored file would show, is written in every format and read by every
reader that is installed. A row is right when the mesh read is closed and oriented, its volume is within 0.1 % of the
seat's own (by quadrature of the surface, not by the mesh), and its two corners lie where the blank's lie, in mm.
Of STEP "oriented" is the kernel's own check of the solid. A dash stands for what a format has not got.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from format_exact import EXACT, Solid
from format_readers import READERS, Reader, merged

from seatmesh.errors import FileRefusedError
from seatmesh.formats.mesh_attributes import Extras
from seatmesh.formats.mesh_file import mesh_bytes
from seatmesh.mesh import Mesh, faults, is_closed, volume_mm3
from seatmesh.solids.carved import solid, surface_volume_mm3
from seatmesh.solids.parts import facet_parts
from seatmesh.spline import BicubicSpline, clamped_knots
from seatmesh.surface import Seat
from seatmesh.wood.blank import Blank

VOLUME_SHARE = 1e-3
EXTENT_MM = 1e-3
FORMS = {
    "STL binary": (".stl", ".stl"),
    "STL text": (".stl", ".stla"),
    "OBJ": (".obj", ".obj"),
    "PLY": (".ply", ".ply"),
    "3MF": (".3mf", ".3mf"),
    "GLB": (".glb", ".glb"),
}


@dataclass(frozen=True)
class Row:
    """One format in one reader; `remark` is empty where it was read."""

    form: str
    reader: str
    closed: bool | None = False
    oriented: bool | None = False
    volume_off_percent: float = float("nan")
    extents_off_mm: float = float("nan")
    unit: bool = False
    remark: str = ""

    @property
    def right(self) -> bool:
        """Whether every check of the row holds."""
        within = abs(self.volume_off_percent) <= 100.0 * VOLUME_SHARE and self.extents_off_mm <= EXTENT_MM
        # None stands for what a format has not got: a height map is neither closed nor oriented.
        return self.closed is not False and self.oriented is not False and self.unit and within


def usual_seat(outline: str) -> Seat:
    """Return a seat of a formula, up to 3 mm deeper on the sitter's right, with a pommel and a front roll."""
    knots_x, knots_y = clamped_knots(-240.0, 240.0, 40), clamped_knots(50.0, 430.0, 32)
    x, y = np.meshgrid(*((k[1:-3] + k[2:-2] + k[3:-1]) / 3.0 for k in (knots_x, knots_y)), indexing="ij")
    along = np.where(y < 135.0, (y - 135.0) / 72.0, (y - 135.0) / 330.0)
    ridge = 9.0 * np.exp(-((x / 28.0) ** 2)) / (1.0 + np.exp(-(y - 270.0) / 14.0))
    depth = 18.5 * (1.0 - along**2 - (x / 218.0) ** 2) - ridge + 3.0 * np.tanh(x / 60.0)
    return Seat(
        Blank(outline=outline),
        hollow=BicubicSpline(knots_x, knots_y, depth),
        front_roll_mm=20.0,
        title="matrix",
    )


def rows(tolerance_mm: float = 0.1, outline: str = "rounded") -> Iterator[Row]:
    """Write, read and check."""
    seat = usual_seat(outline)
    mesh = solid(seat, tolerance_mm)
    wood = surface_volume_mm3(seat, 1.0)
    depth = np.clip(-mesh.vertices_mm[:, 2] / 25.0, 0.0, 1.0)
    extras = Extras(facet_parts(mesh, seat), 40.0 * depth, np.column_stack([depth, 1.0 - depth, depth]))
    with tempfile.TemporaryDirectory() as folder:
        for form, (suffix, encoder) in FORMS.items():
            path = Path(folder) / f"{form.replace(' ', '_')}_mm{suffix}"
            path.write_bytes(mesh_bytes(mesh, encoder, name="matrix", extras=extras))
            for name, reader in READERS[form].items():
                yield _row(form, name, reader, path, mesh, wood)
        for form, readers in EXACT.items():
            for name, exact in readers.items():
                yield _exact_row(form, name, lambda exact=exact: exact(seat, Path(folder)), mesh, wood)


def _row(form: str, name: str, reader: Reader, path: Path, sent: Mesh, wood_mm3: float) -> Row:
    try:
        read = Mesh(*merged(*reader(path)))
    except ImportError as error:
        return Row(form, name, remark=f"not installed: {error.name}")
    except Exception as error:  # what a reader says is what the table is for
        return Row(form, name, remark=f"{type(error).__name__}: {error}"[:80])
    low, high = read.vertices_mm.min(axis=0), read.vertices_mm.max(axis=0)
    if path.suffix == ".3mf":
        # Some readers apply the build item's move to positive coordinates, some give the object as it is.
        shift = sent.vertices_mm.min(axis=0) - low
        moved = bool(np.allclose(low, 0.0, atol=EXTENT_MM))
        low, high = (low + shift, high + shift) if moved else (low, high)
    corners = sent.vertices_mm.min(axis=0), sent.vertices_mm.max(axis=0)
    off = float(max(np.abs(low - corners[0]).max(), np.abs(high - corners[1]).max()))
    volume = volume_mm3(read)
    return Row(
        form,
        name,
        closed=is_closed(read),
        oriented=faults(read) == (),
        volume_off_percent=100.0 * (volume / wood_mm3 - 1.0),
        extents_off_mm=off,
        # A wrong unit is off by a factor of 10 or more in length, a thousand or more in volume.
        unit=0.5 < volume / wood_mm3 < 2.0,
    )


def _exact_row(form: str, name: str, read: Callable[[], Solid], mesh: Mesh, wood_mm3: float) -> Row:
    try:
        found = read()
    except (ImportError, FileRefusedError) as error:
        return Row(form, name, remark=f"not installed: {error}"[:80])
    low, high = mesh.vertices_mm.min(axis=0), mesh.vertices_mm.max(axis=0)
    off = float(max(np.abs(found.low_mm - low).max(), np.abs(found.high_mm - high).max()))
    percent = 100.0 * (found.volume_mm3 / wood_mm3 - 1.0)
    return Row(form, name, found.closed, found.oriented, percent, off, found.unit)


def main() -> int:
    """Print the table; return 1 where an installed reader found fault."""
    say = sys.stdout.write
    say(
        f"{'format':12}{'reader':12}{'closed':8}{'oriented':10}{'volume off':>12}{'unit':>6}{'extents off':>14}\n"
    )
    wrong = 0
    for row in rows():
        if row.remark:
            say(f"{row.form:12}{row.reader:12}{row.remark}\n")
            wrong += not row.remark.startswith("not installed")
            continue
        yes = {True: "yes", False: "NO", None: "-"}
        say(
            f"{row.form:12}{row.reader:12}{yes[row.closed]:8}{yes[row.oriented]:10}"
            f"{row.volume_off_percent:+11.4f}%{yes[row.unit]:>6}{row.extents_off_mm:11.5f} mm\n"
        )
        wrong += not row.right
    return int(wrong > 0)


if __name__ == "__main__":
    sys.exit(main())
