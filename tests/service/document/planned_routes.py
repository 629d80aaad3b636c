"""Routes that are to come, as the document will tell them: long work as jobs, and kept seats listed and let go.

Each answers from a few values that stand here, so that a client made from the document can be tried on them.
"""

import datetime
from typing import Annotated

from fastapi import APIRouter, FastAPI, Path, Request
from fastapi.responses import JSONResponse, Response
from seatmesh_service.document.whole import describe
from seatmesh_service.models import JobOut, SeatOut, Seats
from seatmesh_service.models.answers import accepted, created, done, events, got, got_file
from seatmesh_service.models.refusals import POSTED, refusals
from seatmesh_service.routes.seats.seat_id import SeatId
from seatmesh_service.schema import ORDER_EXAMPLE, body_of_request, order_schema

JOB, SEAT = "5f0c3a9d2b7e41c8", "0" * 32
NOW = datetime.datetime(2026, 5, 31, 12, tzinfo=datetime.UTC)
JobId = Annotated[str, Path(description="of the job, as Location gave it", examples=[JOB])]
STATES = ("queued", "working", "done")
router = APIRouter()
asked: list[str] = []
"""How often the job was asked for."""


@router.post(
    "/seats",
    operation_id="shape_seat",
    tags=["seats"],
    status_code=201,
    response_model=SeatOut,
    responses={**created(SeatOut), **accepted(), **refusals(*POSTED)},
    openapi_extra=body_of_request(order_schema(), ORDER_EXAMPLE, "an order"),
)
async def shape(_request: Request) -> Response:
    """Shape the seat of an order, at once or as a job."""
    return JSONResponse(job("queued"), 202, {"Location": f"/jobs/{JOB}", "Retry-After": "0"})


@router.get(
    "/jobs/{job_id}", operation_id="get_job", tags=["jobs"], response_model=JobOut, responses=got(404)
)
async def get_job(job_id: JobId) -> Response:
    """Say how far a job is."""
    state = STATES[min(len(asked), 2)]
    asked.append(job_id)
    return JSONResponse(job(state))


@router.delete(
    "/jobs/{job_id}", operation_id="cancel_job", tags=["jobs"], status_code=204,
    responses={**done("It is cancelled, or was over already"), **refusals(404)},
)  # fmt: skip
async def cancel(job_id: JobId) -> None:
    """Cancel a job."""


@router.get(
    "/jobs/{job_id}/events", operation_id="follow_job", tags=["jobs"], response_class=Response,
    responses={**events(), **refusals(404)},
)  # fmt: skip
async def follow(job_id: JobId) -> Response:
    """Follow a job by server-sent events."""
    return Response(f"event: {job_id}\n\n", media_type="text/event-stream")


@router.get("/seats", operation_id="list_seats", tags=["seats"], response_model=Seats, responses=got())
async def list_seats() -> Response:
    """List kept seats."""
    row = {"id": SEAT, "title": "Anna's chair", "made": NOW.isoformat(), "used": NOW.isoformat()}
    return JSONResponse({"seats": [{**row, "size_bytes": 52_000, "pinned": True}]})


@router.get(
    "/seats/{seat_id}/mesh.stl", operation_id="get_stl", tags=["files"], response_class=Response,
    responses=got_file("the file", ("model/stl",), 404, 503, made=True),
)  # fmt: skip
async def get_stl(seat_id: SeatId) -> Response:
    """Return the carved blank as STL, or the job that makes it."""
    if len(asked) < len(STATES):
        return JSONResponse(job("queued"), 202, {"Location": f"/jobs/{JOB}", "Retry-After": "0"})
    return Response(f"solid {seat_id}", media_type="model/stl")


@router.delete(
    "/seats/{seat_id}", operation_id="delete_seat", tags=["seats"], status_code=204,
    responses={**done("It is gone"), **refusals(404, 409)},
)  # fmt: skip
async def delete(seat_id: SeatId) -> None:
    """Let a seat go, and all that was made of it."""


@router.put(
    "/seats/{seat_id}/pin", operation_id="pin_seat", tags=["seats"], status_code=204,
    responses={**done("It stays when others make room"), **refusals(404)},
)  # fmt: skip
async def pin(seat_id: SeatId) -> None:
    """Keep a seat when others make room."""


@router.delete(
    "/seats/{seat_id}/pin", operation_id="unpin_seat", tags=["seats"], status_code=204,
    responses={**done("It may make room"), **refusals(404)},
)  # fmt: skip
async def unpin(seat_id: SeatId) -> None:
    """Let a seat make room for others again."""


def job(state):
    """Return a job as it is answered."""
    over = state == "done"
    return {
        "id": JOB,
        "state": state,
        "words": "shaping the seat",
        "share": STATES.index(state) / 2,
        "result": f"/seats/{SEAT}" if over else None,
        "problem": None,
        "seat": SEAT,
        "created": NOW.isoformat(),
        "retry_after_s": None if over else 0.0,
    }


def planned_app():
    """Return an application with these routes alone."""
    app = FastAPI(title="seatmesh", version="0", description="routes to come")
    app.include_router(router)
    describe(app)
    return app
