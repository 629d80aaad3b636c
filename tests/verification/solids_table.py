"""Mesh quality of sixteen seats in one table: `python tests/verification/solids_table.py [TOLERANCE_MM]`.

Angles are those of the facets in space. A facet lies off feature lines when no edge of it lies on one: on a line along
which two facets meet at more than 8 degrees, or on deck line, gutter lip or start of the roll. All is printed, nothing
asserted; `tests/slow/test_solid_matrix.py` holds what is promised.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from solid_seats import SEATS

from seatmesh.errors import SeatmeshError
from seatmesh.mesh import Mesh, faults
from seatmesh.solids.carved import solid
from seatmesh.solids.holes import cut_holes
from seatmesh.solids.measured import measured_distance_mm
from seatmesh.solids.plan.feature_lines import feature_lines
from seatmesh.surface import Seat
from seatmesh.wood.joint_cuts import joint_cuts

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

CREASE_DEG = 8.0
ON_LINE_MM = 0.02


@dataclass(frozen=True)
class Row:
    """What is said of one mesh; lengths in mm, angles in degrees."""

    facets: int
    least_off_lines_deg: float
    least_deg: float
    below_one_deg: int
    shortest_mm: float
    reached_mm: float
    seconds: float
    faults: tuple[str, ...]


def angles_deg(mesh: Mesh) -> Floats:
    """Return the smallest angle of each facet, shape (m,)."""
    corners = mesh.vertices_mm[mesh.faces]
    onward, back = np.roll(corners, -1, axis=1) - corners, np.roll(corners, 1, axis=1) - corners
    area = np.linalg.norm(np.cross(onward, back), axis=2)
    angle = np.arctan2(area, np.einsum("mij,mij->mi", onward, back))
    return np.asarray(np.degrees(angle.min(axis=1)))


def shortest_edge_mm(mesh: Mesh) -> float:
    """Return the length of the shortest edge."""
    corners = mesh.vertices_mm[mesh.faces]
    return float(np.linalg.norm(corners - np.roll(corners, 1, axis=1), axis=2).min())


def on_lines(mesh: Mesh, seat: Seat) -> Bools:
    """Tell which facets have an edge on a feature line, shape (m,)."""
    corners = mesh.vertices_mm[mesh.faces]
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    normal /= np.maximum(np.linalg.norm(normal, axis=1), 1e-300)[:, None]
    start, end = mesh.faces, np.roll(mesh.faces, -1, axis=1)
    keys = (np.minimum(start, end) * len(mesh.vertices_mm) + np.maximum(start, end)).ravel()
    order = np.argsort(keys, kind="stable")
    one, other = order[0::2], order[1::2]
    crisp = np.zeros(len(keys), dtype=bool)
    cosine = np.einsum("ij,ij->i", normal[one // 3], normal[other // 3])
    crisp[one] = crisp[other] = cosine < np.cos(np.radians(CREASE_DEG))
    polygon = seat.blank.polygon_mm()
    lines = feature_lines(seat, polygon[: len(polygon) // 2 + 1])
    whole = shapely.MultiLineString([*lines, *(line * (-1.0, 1.0) for line in lines)])
    shapely.prepare(whole)
    near = shapely.dwithin(whole, shapely.points(mesh.vertices_mm[:, :2]), ON_LINE_MM)
    blank, (x, y, z) = seat.blank, mesh.vertices_mm.T
    near &= z > -0.9 * blank.thickness_mm
    inside = blank.inside_mm(x, y)
    for ring in (0.0, blank.round_over_mm, blank.under_bevel_width_mm):
        beside = np.abs(inside - ring) < ON_LINE_MM
        near |= beside & (z < -0.5 * blank.thickness_mm if ring == blank.under_bevel_width_mm > 0.0 else True)
    return np.asarray(crisp.reshape(-1, 3).any(axis=1) | (near[start] & near[end]).any(axis=1))


def row(seat: Seat, tolerance_mm: float, *, holes: bool = True) -> Row:
    """Make one mesh and measure it."""
    begun = time.perf_counter()
    mesh = solid(seat, tolerance_mm)
    seconds = time.perf_counter() - begun
    reached = measured_distance_mm(mesh, seat)
    cut = cut_holes(mesh, joint_cuts(seat.blank)) if holes else mesh
    angles = angles_deg(cut)
    off = ~on_lines(cut, seat)
    return Row(
        len(cut.faces), float(angles[off].min(initial=60.0)), float(angles.min()), int(np.count_nonzero(angles < 1.0)),
        shortest_edge_mm(cut), reached, seconds, faults(cut),
    )  # fmt: skip


def table(tolerance_mm: float) -> Iterator[str]:
    """Return the lines of the table."""
    yield "| seat | facets | least angle off lines | least angle | below 1 deg | shortest edge, mm | reached, mm | s |"
    yield "| --- | --- | --- | --- | --- | --- | --- | --- |"
    for name, make in SEATS.items():
        try:
            one = row(make(), tolerance_mm)
        except SeatmeshError as error:
            yield f"| {name} | {error} |"
            continue
        figures = (
            f"{one.facets:,}", f"{one.least_off_lines_deg:.2f}", f"{one.least_deg:.3f}", str(one.below_one_deg),
            f"{one.shortest_mm:.2g}", f"{one.reached_mm:.3f}", f"{one.seconds:.1f}",
        )  # fmt: skip
        yield f"| {name} | {' | '.join(figures)} |{' ' + '; '.join(one.faults) if one.faults else ''}"


def main() -> None:
    """Print the table."""
    for line in table(float(sys.argv[1]) if len(sys.argv) > 1 else 0.1):
        sys.stdout.write(line + "\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main()
