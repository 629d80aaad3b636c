"""Files of a seat for other programs: meshes, CAD solid, height maps, and the table of depths."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Path, Query, Request
from fastapi.responses import Response
from pydantic import AfterValidator

from seatmesh.errors import ValueRefusedError
from seatmesh.files.names import scale_word
from seatmesh.formats.mesh_scale import parse_scale, usual_tolerance_mm
from seatmesh.formats.registry import Format, listed
from seatmesh.units import shown

from ...desk import desk_of
from ...models.answers import got_file
from ...models.refusals import WORKING
from ...models.words import MESHES as WRITTEN
from ...models.words import named_words
from .file_answer import file_answer
from .seat_id import SeatId

router = APIRouter(prefix="/seats", tags=["files"])
MEDIA_TYPES = dict.fromkeys(one.media_type for one in WRITTEN.values())


def _known(suffix: str) -> str:
    if suffix not in WRITTEN:
        raise ValueError(f"allowed are {listed(WRITTEN)}")
    return suffix


Suffix = Annotated[
    str,
    AfterValidator(_known),
    Path(
        description="of the format; GET /health lists those at hand",
        examples=["stl"],
        json_schema_extra=named_words("MeshSuffix", WRITTEN),
    ),
]
SCALE = r"^\s*[0-9.]{1,13}\s*(%|[:/]\s*[0-9.]{1,13})?\s*$"
"""The look of a scale; what it may be, the library says in words."""
Tolerance = Annotated[
    float,
    Query(
        ge=0.02,
        le=5.0,
        description="greatest distance of mesh and surface, mm at full size; 0.1 at the scale without it",
        examples=[0.2],
    ),
]
Sitter = Annotated[
    int,
    Query(
        ge=0,
        le=100,
        description="place in the order of the sitter whose pressure is on it, from 1, for ply and glb; 0: nobody's",
        examples=[0],
    ),
]
JointHoles = Annotated[
    bool, Query(description="cut mortises and housings too, for meshes and STEP", examples=[False])
]
Spacing = Annotated[float, Query(ge=0.05, le=20.0, description="spacing of a height map, mm", examples=[1])]


@router.get(
    "/{seat_id}/mesh.{suffix}",
    operation_id="get_mesh",
    response_class=Response,
    responses=got_file("the file", MEDIA_TYPES, 404, 422, *WORKING, made=True),
)
async def mesh(
    request: Request,
    seat_id: SeatId,
    suffix: Suffix,
    scale: Annotated[
        str, Query(description="1:4, 1/4, 25% or 0.25", pattern=SCALE, examples=["1:4"])
    ] = "1:1",
    tolerance_mm: Tolerance | None = None,
    spacing_mm: Spacing = 0.5,
    sitter: Sitter = 0,
    joint_holes: JointHoles = False,
) -> Response:
    """Return the carved blank as a mesh, a CAD solid or a height map, as the suffix says; numbers are mm, of glb m."""
    factor, form, limits = parse_scale(scale), WRITTEN[suffix], desk_of(request).limits
    _refuse_beyond(form, sitter, joint_holes)
    if form.kind == "heights" and factor != 1.0:
        raise ValueRefusedError(
            "scale", shown(scale), f"1:1 for {suffix}", "scale it in the program that reads it"
        )
    work: tuple[Any, ...]
    if form.kind == "mesh":
        tolerance = usual_tolerance_mm(factor) if tolerance_mm is None else tolerance_mm
        name = f"mesh-{factor!r}-{tolerance!r}{_with(sitter, joint_holes)}.{suffix}"
        work = ("mesh", f".{suffix}", scale, tolerance, limits.facets, sitter, joint_holes)
    elif form.kind == "cad":
        name, work = f"solid-{factor!r}{_with(0, joint_holes)}.step", ("step", scale, joint_holes)
    else:
        name, work = f"heights-{spacing_mm!r}.{suffix}", ("heights", suffix, spacing_mm, limits.pixels)
    return await file_answer(request, seat_id, name, suffix, *work, tail=_tail(suffix, scale, sitter))


@router.get(
    "/{seat_id}/depths.csv",
    operation_id="get_depths",
    response_class=Response,
    responses=got_file("the table", ("text/csv",), 404, 422, *WORKING, made=True),
)
async def depths(
    request: Request,
    seat_id: SeatId,
    spacing_mm: Annotated[
        float, Query(ge=1.0, le=200.0, description="how far apart in both directions", examples=[20])
    ] = 20.0,
) -> Response:
    """Return a grid of depths below the top face: x_mm, y_mm, depth_mm."""
    name, most = f"depths-{spacing_mm!r}.csv", desk_of(request).limits.grid_points
    return await file_answer(request, seat_id, name, "csv", "depths", spacing_mm, most, tail="-depths-mm.csv")


def _refuse_beyond(form: Format, sitter: int, joint_holes: bool) -> None:
    """Refuse what the format cannot hold."""
    if sitter and not form.coloured:
        able = listed(one.name for one in WRITTEN.values() if one.coloured)
        raise ValueRefusedError(
            "sitter", shown(sitter), f"pressure is held by {able}", "ask for one of these, or leave it out"
        )
    if joint_holes and form.kind == "heights":
        raise ValueRefusedError(
            "joint_holes", shown(joint_holes), "allowed for meshes and STEP", "leave it out for a height map"
        )


def _with(sitter: int, joint_holes: bool) -> str:
    """Return what the name of a kept file says of pressure and joints."""
    return f"{f'-sitter-{sitter}' if sitter else ''}{'-joints' if joint_holes else ''}"


def _tail(suffix: str, scale: str, sitter: int) -> str:
    factor = parse_scale(scale)
    parts = [""]
    if sitter:
        parts.append(f"pressure-{sitter}")
    if factor != 1.0:
        parts.append(scale_word(factor))
    form = WRITTEN[suffix]
    if form.kind == "heights":
        parts.append("heights")
    if not form.states_unit:
        parts.append(form.unit)
    return f"{'-'.join(parts)}{form.saved_as or form.suffix}"
