"""Seats: shape one from an order, and fetch what came of it."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Body, Query, Request
from fastapi.responses import Response

from seatmesh.body.body_file import body_from_table
from seatmesh.design.order import find_body
from seatmesh.design.report import report, sitting_report
from seatmesh.errors import ValueRefusedError
from seatmesh.export.depth_table import depths_csv
from seatmesh.export.mesh_file import mesh_bytes
from seatmesh.export.scale import parse_scale
from seatmesh.seating.sit import sit
from seatmesh.solids.carved import solid

from .store import SeatStore

router = APIRouter(prefix="/seats")
MOST_BODIES = 12
MEDIA_TYPES = {"stl": "model/stl", "obj": "model/obj"}


def _store(request: Request) -> SeatStore:
    store: SeatStore = request.app.state.store
    return store


@router.post("")
def shape(request: Request, order: Annotated[dict[str, Any], Body()]) -> dict[str, Any]:
    """Shape the seat of an order; the keys are those of an order file, bodies written out or named."""
    key, made = _store(request).shape(order)
    return {"id": key, **report(made)}


@router.get("/{seat_id}")
def read(request: Request, seat_id: str) -> dict[str, Any]:
    """Return a seat's figures."""
    return {"id": seat_id, **report(_store(request).get(seat_id))}


@router.get("/{seat_id}/mesh.{suffix}")
def mesh(
    request: Request,
    seat_id: str,
    suffix: str,
    scale: str = "1:1",
    tolerance_mm: Annotated[float, Query(ge=0.02, le=5.0)] = 0.1,
) -> Response:
    """Return the carved blank as a closed mesh; its numbers are mm."""
    if suffix not in MEDIA_TYPES:
        raise ValueRefusedError(
            "suffix", suffix, f"allowed are {', '.join(MEDIA_TYPES)}", "choose one of them"
        )
    seat = _store(request).get(seat_id).seat
    data = mesh_bytes(solid(seat, tolerance_mm).scaled(parse_scale(scale)), f".{suffix}")
    name = f"attachment; filename=seat.{suffix}"
    return Response(data, media_type=MEDIA_TYPES[suffix], headers={"Content-Disposition": name})


@router.get("/{seat_id}/depths.csv")
def depths(
    request: Request, seat_id: str, spacing_mm: Annotated[float, Query(ge=2.0, le=200.0)] = 20.0
) -> Response:
    """Return a grid of depths below the top face."""
    return Response(depths_csv(_store(request).get(seat_id).seat, spacing_mm), media_type="text/csv")


@router.post("/{seat_id}/contact-maps")
def contact_maps(request: Request, seat_id: str, wanted: Annotated[dict[str, Any], Body()]) -> dict[str, Any]:
    """Sit bodies on a seat: `{"bodies": [name or table, ...], "posture": "upright"}`; pressure in kPa, row by row."""
    seat = _store(request).get(seat_id).seat
    names = wanted.get("bodies")
    if not isinstance(names, list) or not 1 <= len(names) <= MOST_BODIES:
        raise ValueRefusedError(
            "bodies", names, f"a list of 1 to {MOST_BODIES}", "name bodies or write them out"
        )
    sittings = [
        sit(
            body_from_table(one, "body", "sitter") if isinstance(one, dict) else find_body(str(one), None),
            seat,
            posture=str(wanted.get("posture", "upright")),
        )
        for one in names
    ]
    return {
        "sittings": [
            {
                **sitting_report(one),
                "x_mm": one.x_mm.tolist(),
                "y_mm": one.y_mm.tolist(),
                "pressure_kpa": one.pressure_kpa.round(3).tolist(),
            }
            for one in sittings
        ]
    }
