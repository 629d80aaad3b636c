"""Every format in every reader, in one table: `python tests/verification/format_matrix.py [seats]`.

A seat, deeper on the sitter's right so that a mirrored file would show, is written in every format and read by every
reader that is installed. A row is right when the mesh read is closed and oriented, its volume is within 0.1 % of the
seat's own (by quadrature of the surface, not by the mesh), and its two corners lie where the blank's lie, in mm.
Of STEP "oriented" is the kernel's own check of the solid. A dash stands for what a format has not got. With the word
`seats` the sixteen seats of `solid_seats.py` are read so, by the programs of `outside_programs.py` too, and what is
printed are counts: right of tried, and each row that was not right.
"""

from __future__ import annotations

import sys
import tempfile
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from format_exact import EXACT, STEP_NAME, Exact, Solid
from format_readers import READERS, Reader, merged
from numpy.typing import NDArray
from outside_programs import PROGRAMS, gltf_faults
from solid_seats import SEATS

from seatmesh.errors import FileRefusedError, SeatmeshError
from seatmesh.formats.mesh_attributes import Extras
from seatmesh.formats.mesh_file import mesh_bytes
from seatmesh.mesh import Mesh, faults, is_closed, volume_mm3
from seatmesh.solids.carved import solid, surface_volume_mm3
from seatmesh.solids.holes import cut_holes
from seatmesh.solids.parts import facet_parts
from seatmesh.spline import BicubicSpline, clamped_knots
from seatmesh.surface import Seat
from seatmesh.wood.blank import Blank
from seatmesh.wood.joint_cuts import joint_cuts

Floats = NDArray[np.float64]

VOLUME_SHARE = 1e-3
EXTENT_MM = 1e-3
BULGE_MM = 0.0125
"""True arcs in STEP bulge beyond the outline's polygon: by 2^2 / 8r between points 2 mm apart, from r = 40 mm up."""
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
        most_mm = BULGE_MM if self.form == "STEP" else EXTENT_MM
        within = abs(self.volume_off_percent) <= 100.0 * VOLUME_SHARE and self.extents_off_mm <= most_mm
        # None stands for what a format has not got: a height map is neither closed nor oriented.
        return self.closed is not False and self.oriented is not False and self.unit and within

    @property
    def is_missing(self) -> bool:
        """Whether the reader is not installed."""
        return self.remark.startswith("not installed")


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


def written_mesh(seat: Seat, tolerance_mm: float = 0.1) -> tuple[Mesh, float]:
    """Return a seat's mesh as it is written, joint holes cut, and the volume that its files should have.

    That is the surface's, by quadrature, less what the holes take from the mesh.
    """
    mesh = solid(seat, tolerance_mm)
    cut = cut_holes(mesh, joint_cuts(seat.blank))
    return cut, surface_volume_mm3(seat, 1.0) - (volume_mm3(mesh) - volume_mm3(cut))


def rows(
    seat: Seat,
    tolerance_mm: float = 0.1,
    exact: Mapping[str, Mapping[str, Exact]] = EXACT,
    *,
    programs: bool = False,
) -> Iterator[Row]:
    """Write, read and check; `exact` are the readers of formats that are no triangles."""
    mesh, wood = written_mesh(seat, tolerance_mm)
    depth = np.clip(-mesh.vertices_mm[:, 2] / 25.0, 0.0, 1.0)
    extras = Extras(facet_parts(mesh, seat), 40.0 * depth, np.column_stack([depth, 1.0 - depth, depth]))
    with tempfile.TemporaryDirectory() as folder:
        for form, (suffix, encoder) in FORMS.items():
            path = Path(folder) / f"{form.replace(' ', '_')}_mm{suffix}"
            path.write_bytes(mesh_bytes(mesh, encoder, name="matrix", extras=extras))
            for name, reader in READERS[form].items():
                yield _row(form, name, reader, path, mesh, wood)
            if programs:
                yield from _program_rows(form, path, mesh, wood)
        for form, readers in exact.items():
            for name, by_exact in readers.items():
                yield _exact_row(form, name, lambda by=by_exact: by(seat, Path(folder)), mesh, wood)
            if programs and (path := Path(folder) / STEP_NAME).exists():
                yield from _program_rows(form, path, mesh, wood)


def seat_rows(name: str) -> Iterator[Row]:
    """Return all rows of one of the sixteen seats; height maps, which know no underside, are left out."""
    return rows(SEATS[name](), exact={"STEP": EXACT["STEP"]}, programs=True)


def _row(form: str, name: str, reader: Reader, path: Path, sent: Mesh, wood_mm3: float) -> Row:
    try:
        read = Mesh(*merged(*reader(path)))
    except ImportError as error:
        return Row(form, name, remark=f"not installed: {error.name}")
    except Exception as error:  # what a reader says is what the table is for
        return Row(form, name, remark=f"{type(error).__name__}: {error}"[:80])
    off = _off_mm(form, sent, read.vertices_mm.min(axis=0), read.vertices_mm.max(axis=0))
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


def _off_mm(form: str, sent: Mesh, low: Floats, high: Floats) -> float:
    """Return how far the corners of what was read lie from those of what was sent."""
    corners = sent.vertices_mm.min(axis=0), sent.vertices_mm.max(axis=0)
    if form == "3MF" and np.allclose(low, 0.0, atol=EXTENT_MM):
        # Some readers apply the build item's move to positive coordinates, some give the object as it is.
        low, high = corners[0], high + corners[0] - low
    return float(max(np.abs(low - corners[0]).max(), np.abs(high - corners[1]).max()))


def _exact_row(form: str, name: str, read: Callable[[], Solid], mesh: Mesh, wood_mm3: float) -> Row:
    try:
        found = read()
    except (ImportError, FileRefusedError) as error:
        return Row(form, name, remark=f"not installed: {error}"[:80])
    except (ValueError, SeatmeshError) as error:
        return Row(form, name, remark=f"{type(error).__name__}: {error}"[:160])
    off = _off_mm(form, mesh, found.low_mm, found.high_mm)
    percent = 100.0 * (found.volume_mm3 / wood_mm3 - 1.0)
    return Row(form, name, found.closed, found.oriented, percent, off, found.unit)


def _program_rows(form: str, path: Path, mesh: Mesh, wood_mm3: float) -> Iterator[Row]:
    for name, by in PROGRAMS.get(form, {}).items():
        yield _exact_row(form, name, lambda by=by: by(path), mesh, wood_mm3)
    if form == "GLB":
        yield _validated(form, path)


def _validated(form: str, path: Path) -> Row:
    """Return the validator's row: it measures nothing and says what is wrong."""
    try:
        found = gltf_faults(path)
    except ImportError as error:
        return Row(form, "validator", remark=f"not installed: {error}"[:80])
    return Row(form, "validator", None, None, 0.0, 0.0, not found, "; ".join(found)[:160])


def print_table(table: Iterator[Row]) -> int:
    """Print one seat's rows; return how many an installed reader found fault with."""
    say = sys.stdout.write
    say(
        f"{'format':12}{'reader':12}{'closed':8}{'oriented':10}{'volume off':>12}{'unit':>6}{'extents off':>14}\n"
    )
    wrong = 0
    for row in table:
        if row.remark:
            say(f"{row.form:12}{row.reader:12}{row.remark}\n")
            wrong += not row.is_missing
            continue
        yes = {True: "yes", False: "NO", None: "-"}
        say(
            f"{row.form:12}{row.reader:12}{yes[row.closed]:8}{yes[row.oriented]:10}"
            f"{row.volume_off_percent:+11.4f}%{yes[row.unit]:>6}{row.extents_off_mm:11.5f} mm\n"
        )
        wrong += not row.right
    return wrong


def print_counts() -> int:
    """Print of each format and reader how many seats were right; return how many were not."""
    right: Counter[tuple[str, str]] = Counter()
    tried: Counter[tuple[str, str]] = Counter()
    for name in SEATS:
        for row in seat_rows(name):
            key = row.form, row.reader
            tried[key] += not row.is_missing
            right[key] += row.right
            if not row.right and not row.is_missing:
                sys.stdout.write(f"NOT RIGHT: {name}: {row}\n")
                sys.stdout.flush()
    for form, reader in tried:
        count = f"{right[form, reader]} of {tried[form, reader]}" if tried[form, reader] else "not installed"
        sys.stdout.write(f"{form:12}{reader:12}{count}\n")
    return tried.total() - right.total()


def main() -> int:
    """Print the table, or the counts over all seats; return 1 where an installed reader found fault."""
    wrong = print_counts() if sys.argv[1:] == ["seats"] else print_table(rows(usual_seat("rounded")))
    return int(wrong > 0)


if __name__ == "__main__":
    sys.exit(main())
