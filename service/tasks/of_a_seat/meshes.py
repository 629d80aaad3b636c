"""Meshes, CAD solids, height maps and tables of a kept seat, as files."""

from __future__ import annotations

from seatmesh.design.coloured_mesh import extras_of, fineness
from seatmesh.errors import ValueRefusedError
from seatmesh.formats.depth_table import depths_csv
from seatmesh.formats.height_map import height_map
from seatmesh.formats.mesh_file import mesh_bytes
from seatmesh.formats.mesh_scale import parse_scale
from seatmesh.formats.registry import format_of, formats_written
from seatmesh.formats.step.writer import step_bytes
from seatmesh.solids.carved import solid
from seatmesh.solids.holes import cut_holes
from seatmesh.surface import Seat
from seatmesh.wood.joint_cuts import joint_cuts

from ...keeping.kept import KeptSeat
from .kept import kept_seat, nth_sitter


def mesh(
    kept: KeptSeat,
    suffix: str,
    scale: str,
    tolerance_mm: float,
    most_facets: int,
    sitter: int = 0,
    joint_holes: bool = False,
) -> bytes:
    """Return the carved blank as a closed mesh, with the pressure of a sitter of the order on it, and joints cut."""
    made = kept_seat(kept)
    body = nth_sitter(kept, sitter) if sitter else None
    full = solid(made, *fineness(tolerance_mm, body is not None))
    if joint_holes:
        full = cut_holes(full, joint_cuts(made.blank))
    if len(full.faces) > most_facets:
        raise ValueRefusedError(
            "tolerance_mm",
            f"{tolerance_mm:g} asks for {len(full.faces)} facets",
            f"at most {most_facets}",
            "give a coarser tolerance",
        )
    extras = extras_of(full, made, body)
    return mesh_bytes(full.scaled(parse_scale(scale)), suffix, name=made.title, extras=extras)


def step(kept: KeptSeat, scale: str, joint_holes: bool = False) -> bytes:
    """Return the exact CAD solid."""
    return step_bytes(kept_seat(kept), scale=parse_scale(scale), joint_holes=joint_holes)


def heights(kept: KeptSeat, suffix: str, spacing_mm: float, most_pixels: int) -> bytes:
    """Return the height map, as a 16-bit picture or as text."""
    made = kept_seat(kept)
    _refuse_fine(made, spacing_mm, most_pixels, "pixels")
    form = format_of(suffix, formats_written("heights"), "suffix of a height map")
    data: bytes = form.write_with()(height_map(made, spacing_mm), made.title)
    return data


def depths(kept: KeptSeat, spacing_mm: float, most_points: int) -> bytes:
    """Return the grid of depths."""
    made = kept_seat(kept)
    _refuse_fine(made, spacing_mm, most_points, "points")
    return depths_csv(made, spacing_mm).encode()


def _refuse_fine(seat: Seat, spacing_mm: float, most: int, what: str) -> None:
    count = (seat.blank.width_mm / spacing_mm + 1) * (seat.blank.depth_mm / spacing_mm + 1)
    if count > most:
        raise ValueRefusedError(
            "spacing_mm",
            f"{spacing_mm:g} asks for {count:.0f} {what}",
            f"at most {most} here",
            "give a wider spacing",
        )
