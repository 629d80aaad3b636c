"""Batches: many orders in one request, what came of them as one table, or all their files as one archive."""

from __future__ import annotations

import asyncio
from typing import Annotated, Any

from fastapi import APIRouter, Path, Query, Request
from fastapi.responses import Response

from seatmesh.errors import NotAmongError, ValueRefusedError
from seatmesh.files.toml_file import refuse_unknown
from seatmesh.formats.mesh_scale import parse_scale, usual_tolerance_mm
from seatmesh.units import shown

from ..answers import MEDIA_TYPES, PACKED, json_answer, opened_answer
from ..answers.accepted import form_asked_for
from ..desk import Desk, desk_of
from ..keeping.archive import archive_of
from ..keeping.batches import batch_rows, was_made
from ..keeping.identity import canonical_bytes, digest, is_id
from ..models import Batch
from ..models.answers import created, got, got_file
from ..models.refusals import POSTED
from ..models.words import MESHES, one_of
from ..problems import ProblemError
from ..requests.intake import read_table
from ..schema import BATCH_EXAMPLE, batch_schema, body_of_request
from ..tasks.batch_table import batch_table
from ..tasks.plain import json_bytes
from ..tasks.tables import FORMS
from .seats.shaping import refuse_many_sitters

router = APIRouter(prefix="/batches", tags=["batches"])
KEYS = ("orders", "files", "scale")
MEDIA = {one: MEDIA_TYPES[one].partition(";")[0] for one in FORMS}
BatchId = Annotated[str, Path(description="what POST /batches answered", examples=["0" * 32])]
TableForm = Annotated[str, one_of("TableFormat", FORMS)]


@router.post(
    "",
    operation_id="shape_seats",
    status_code=201,
    response_model=Batch,
    responses=created(Batch, *POSTED),
    openapi_extra=body_of_request(
        batch_schema(), BATCH_EXAMPLE, "orders, and the files to make of each seat"
    ),
)
async def shape_many(request: Request) -> Response:
    """Shape the seats of many orders, and make files of each; one that is refused keeps no other from its seat."""
    desk, table = desk_of(request), await read_table(request)
    refuse_unknown(table, KEYS, "body")
    orders, files = _orders(table, desk.limits.batch_orders, desk.limits.sitters), _files(table, desk)
    batch = digest("batch", canonical_bytes([orders, files]))
    await desk.batch(request, batch, orders, files)
    answer = json_answer(request, json_bytes(_told(desk, batch)))
    answer.status_code = 201
    answer.headers["Location"] = f"{request.scope.get('root_path', '')}/batches/{batch}"
    return answer


@router.get("/{batch_id}", operation_id="get_batch", response_model=Batch, responses=got(404))
async def read(request: Request, batch_id: BatchId) -> Response:
    """Say which seats came of a batch, and why some did not."""
    return json_answer(request, json_bytes(_told(desk_of(request), batch_id)))


@router.get(
    "/{batch_id}/table",
    operation_id="get_batch_table",
    response_class=Response,
    responses=got_file("a row for each sitter of each order", MEDIA.values(), 404, 422, 429),
)
async def table(
    request: Request,
    batch_id: BatchId,
    form: Annotated[
        TableForm | None,
        Query(alias="format", description="left out: what the header Accept asks for", examples=["csv"]),
    ] = None,
) -> Response:
    """Return what came of a batch as one table."""
    desk, suffix = desk_of(request), form_asked_for(form, request, MEDIA)
    rows = _rows(desk, batch_id)
    answers = {row["seat"]: desk.answer_of(row["seat"]) for row in rows if was_made(row)}
    data = await desk.passing(request, batch_table, rows, answers, suffix)
    answer = json_answer(request, data, MEDIA[suffix])
    answer.headers["Content-Disposition"] = f'attachment; filename="batch-{batch_id[:8]}.{suffix}"'
    return answer


@router.get(
    "/{batch_id}/archive.zip",
    operation_id="get_batch_archive",
    response_class=Response,
    responses=got_file("the files of all seats", (MEDIA_TYPES["zip"],), 404, 507),
)
async def archive(request: Request, batch_id: BatchId) -> Response:
    """Return order, seat file, figures and the files asked for of every seat of a batch, a folder each."""
    desk = desk_of(request)
    rows = _rows(desk, batch_id)
    async with desk.packing:
        handle = await asyncio.to_thread(archive_of, desk.store, rows, desk.scratch)
    return opened_answer(request, handle, MEDIA_TYPES["zip"], f"batch-{batch_id[:8]}.zip")


def _orders(table: dict[str, Any], most: int, most_sitters: int) -> list[Any]:
    orders = table.get("orders")
    if (
        not isinstance(orders, list)
        or not 1 <= len(orders) <= most
        or not all(isinstance(one, dict) for one in orders)
    ):
        raise ValueRefusedError(
            "orders", shown(orders), f"allowed is a list of 1 to {most} orders", "give a few at a time"
        )
    for one in orders:
        refuse_many_sitters(one, most_sitters)
    return orders


def _files(table: dict[str, Any], desk: Desk) -> list[dict[str, Any]]:
    """Return the work for each file, but for the seat."""
    given, scale = table.get("files", []), table.get("scale", "1:1")
    if not isinstance(given, list) or not all(isinstance(one, str) for one in given):
        raise ValueRefusedError(
            "files", shown(given), "allowed is a list of suffixes", "such as stl and step"
        )
    if not isinstance(scale, str):
        raise ValueRefusedError("scale", shown(scale), "allowed is text", "such as 1:4")
    factor, found = parse_scale(scale), []
    for suffix in dict.fromkeys(given):
        form = MESHES.get(suffix)
        if form is None or form.kind == "heights":
            allowed = [name for name, one in MESHES.items() if one.kind != "heights"]
            raise NotAmongError("files", shown(suffix), allowed)
        if form.kind == "cad":
            name, task = f"solid-{factor!r}.step", "step"
            work: list[Any] = [scale]
        else:
            tolerance = usual_tolerance_mm(factor)
            name, task = f"mesh-{factor!r}-{tolerance!r}.{suffix}", "mesh"
            work = [f".{suffix}", scale, tolerance, desk.limits.facets]
        found.append(
            {"task": task, "name": name, "given": work, "packed": suffix in PACKED, "suffix": suffix}
        )
    return found


def _rows(desk: Desk, batch: str) -> list[dict[str, Any]]:
    rows = batch_rows(desk.store.index, batch) if is_id(batch) else None
    if rows is None:
        raise ProblemError(
            404, "There is no such batch", "no batch has this id; post its orders to /batches again"
        )
    return rows


def _told(desk: Desk, batch: str) -> dict[str, Any]:
    rows = [
        {
            "number": number,
            "seat": row["seat"],
            "title": row["title"],
            "refusal": row["refusal"],
            "kept": was_made(row) and desk.store.has(row["seat"]),
        }
        for number, row in enumerate(_rows(desk, batch), start=1)
    ]
    return {"id": batch, "rows": rows, "refused_count": sum(1 for row in rows if row["refusal"] is not None)}
