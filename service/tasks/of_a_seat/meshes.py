"""Meshes, CAD solids, height maps and tables of a kept seat, as files."""

from __future__ import annotations

from seatmesh.errors import ValueRefusedError
from seatmesh.formats.depth_table import depths_csv
from seatmesh.formats.height_map import height_map
from seatmesh.formats.mesh_attributes import Extras
from seatmesh.formats.mesh_file import mesh_bytes
from seatmesh.formats.mesh_scale import parse_scale
from seatmesh.formats.registry import format_of, formats_written
from seatmesh.formats.step.writer import step_bytes
from seatmesh.solids.carved import solid
from seatmesh.solids.parts import facet_parts
from seatmesh.surface import Seat

from ...keeping.kept import KeptSeat
from .kept import kept_seat


def mesh(kept: KeptSeat, suffix: str, scale: str, tolerance_mm: float, most_facets: int) -> bytes:
    """Return the carved blank as a closed mesh."""
    made = kept_seat(kept)
    full = solid(made, tolerance_mm)
    if len(full.faces) > most_facets:
        raise ValueRefusedError(
            "tolerance_mm",
            f"{tolerance_mm:g} asks for {len(full.faces)} facets",
            f"at most {most_facets}",
            "give a coarser tolerance",
        )
    extras = Extras(part=facet_parts(full, made))
    return mesh_bytes(full.scaled(parse_scale(scale)), suffix, name=made.title, extras=extras)


def step(kept: KeptSeat, scale: str) -> bytes:
    """Return the exact CAD solid."""
    return step_bytes(kept_seat(kept), scale=parse_scale(scale))


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
