"""Files of a seat for other programs: meshes, CAD solid, height maps, and the table of depths."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response

from seatmesh.errors import ValueRefusedError
from seatmesh.files.names import scale_word
from seatmesh.formats.mesh_scale import parse_scale
from seatmesh.units import shown

from ..answers import MEDIA_TYPES, kept_answer
from ..keeping.kept_or_made import desk_of
from ..models import refusals
from ..tasks import meshes
from .seat_id import SeatId

router = APIRouter(prefix="/seats", tags=["files"])
MESHES = ("stl", "stla", "obj", "ply", "3mf", "glb")
STEP = "step"
HEIGHTS = ("png", "txt")
UNITLESS = ("stl", "stla", "obj", "ply", "png", "txt", "csv")
"""Formats that state no unit; the name of the file says it."""
ANY_FILE: dict[str, Any] = {MEDIA_TYPES[one].partition(";")[0]: {} for one in (*MESHES, STEP, *HEIGHTS)}
Suffix = Literal["stl", "stla", "obj", "ply", "3mf", "glb", "step", "png", "txt"]
SCALE = r"^\s*[0-9.]{1,13}\s*(%|[:/]\s*[0-9.]{1,13})?\s*$"
"""The look of a scale; what it may be, the library says in words."""
Tolerance = Annotated[
    float, Query(ge=0.02, le=5.0, description="greatest distance of mesh and surface, mm at full size")
]
Spacing = Annotated[float, Query(ge=0.05, le=20.0, description="spacing of a height map, mm")]


@router.get(
    "/{seat_id}/mesh.{suffix}",
    response_class=Response,
    responses={200: {"description": "the file", "content": ANY_FILE}, **refusals(404, 422, 503)},
)
async def mesh(
    request: Request,
    seat_id: SeatId,
    suffix: Suffix,
    scale: Annotated[str, Query(description="1:4, 1/4, 25% or 0.25", pattern=SCALE)] = "1:1",
    tolerance_mm: Tolerance = 0.1,
    spacing_mm: Spacing = 0.5,
) -> Response:
    """Return the carved blank: stl, stla (text), obj, ply, 3mf, glb, step, or heights as png or txt; mm (glb: m)."""
    desk = desk_of(request)
    seat, factor = desk.seat(seat_id), parse_scale(scale)
    if suffix not in MESHES and factor != 1.0:
        raise ValueRefusedError(
            "scale", shown(scale), f"1:1 for {suffix}", "scale it in the program that reads it"
        )
    limits = desk.limits
    if suffix in MESHES:
        name = f"mesh-{factor!r}-{tolerance_mm!r}.{suffix}"
        given: tuple[Any, ...] = (f".{suffix}", scale, tolerance_mm, limits.facets)
        await desk.file(request, seat, name, suffix in ("obj", "stla"), meshes.mesh, *given)
    elif suffix == STEP:
        name = "solid.step"
        await desk.file(request, seat, name, True, meshes.step)
    else:
        name = f"heights-{spacing_mm!r}.{suffix}"
        given = (suffix, spacing_mm, limits.pixels)
        await desk.file(request, seat, name, suffix == "txt", meshes.heights, *given)
    return kept_answer(
        request, desk.store, seat, name, suffix, _saved_as(desk.store.folder_name(seat), suffix, scale)
    )


@router.get(
    "/{seat_id}/depths.csv",
    response_class=Response,
    responses={200: {"content": {"text/csv": {"schema": {"type": "string"}}}}, **refusals(404, 422, 503)},
)
async def depths(
    request: Request, seat_id: SeatId, spacing_mm: Annotated[float, Query(ge=1.0, le=200.0)] = 20.0
) -> Response:
    """Return a grid of depths below the top face: x_mm, y_mm, depth_mm."""
    desk = desk_of(request)
    seat, name = desk.seat(seat_id), f"depths-{spacing_mm!r}.csv"
    await desk.file(request, seat, name, True, meshes.depths, spacing_mm, desk.limits.grid_points)
    saved = f"{desk.store.folder_name(seat)}-depths-mm.csv"
    return kept_answer(request, desk.store, seat, name, "csv", saved)


def _saved_as(title: str, suffix: str, scale: str) -> str:
    factor = parse_scale(scale)
    parts = [title]
    if factor != 1.0:
        parts.append(scale_word(factor))
    if suffix in HEIGHTS:
        parts.append("heights")
    if suffix in UNITLESS:
        parts.append("mm")
    ending = "stl" if suffix == "stla" else suffix
    return f"{'-'.join(parts)}.{ending}"
