"""Jobs: how far long work is, what came of it, and an end to it."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator
from datetime import UTC, datetime
from typing import Annotated, Any

from fastapi import APIRouter, Path, Request
from fastapi.responses import Response, StreamingResponse

from ..answers import MEDIA_TYPES, kept_answer
from ..desk import Desk, desk_of
from ..jobs.job_rows import DONE, LongJob
from ..models import JobOut
from ..models.answers import done, got, got_file
from ..models.answers import events as event_stream
from ..problems import ProblemError, problem
from ..requests.preference import is_asynchronous
from ..tasks.plain import json_bytes

router = APIRouter(prefix="/jobs", tags=["jobs"])
ANY_KIND = dict.fromkeys(MEDIA_TYPES.values())
LOOK_EACH_S, PING_EACH_S = 0.3, 10.0
JobId = Annotated[str, Path(description="as an answer of 202 named it", examples=["5f0c3a9d2b7e41c8"])]


@router.get("/{job_id}", operation_id="get_job", response_model=JobOut, responses=got(404))
async def read(request: Request, job_id: JobId) -> Response:
    """Say how far a job is; `result` is where to fetch what comes of it."""
    desk = desk_of(request)
    job = _found(desk, job_id)
    headers = {"Cache-Control": "no-store"}
    if not job.has_ended:
        headers["Retry-After"] = str(_again_in_s(desk, job))
    return Response(json_bytes(as_told(request, job)), 200, headers, "application/json")


@router.delete(
    "/{job_id}",
    operation_id="cancel_job",
    status_code=204,
    responses=done("It is cancelled, or had ended already", 404),
)
async def cancel(request: Request, job_id: JobId) -> Response:
    """End a job, for whoever follows it; what has ended already stays as it is."""
    desk = desk_of(request)
    job = _found(desk, job_id)
    if not job.has_ended:
        desk.works.cancel(job_id)
    return Response(status_code=204)


@router.get(
    "/{job_id}/result",
    operation_id="get_job_result",
    response_class=Response,
    responses=got_file("what came of it", ANY_KIND, 404, 409),
)
async def result(request: Request, job_id: JobId) -> Response:
    """Return what came of a job: a seat's figures, or a file."""
    desk = desk_of(request)
    job = _found(desk, job_id)
    if job.state != DONE:
        raise ProblemError(
            409, "The job has no result", f"the job is {job.state}; GET /jobs/{job_id} says more"
        )
    work = job.work
    return kept_answer(request, desk.store, work.seat, work.name, work.suffix, work.saved_as)


@router.get(
    "/{job_id}/events",
    operation_id="follow_job",
    response_class=StreamingResponse,
    responses=event_stream(404),
)
async def events(request: Request, job_id: JobId) -> StreamingResponse:
    """Follow a job by server-sent events: one each time it is further, the last one when it has ended."""
    desk = desk_of(request)
    _found(desk, job_id)
    headers = {"Cache-Control": "no-store", "X-Accel-Buffering": "no"}
    return StreamingResponse(_told(request, job_id), headers=headers, media_type="text/event-stream")


async def _told(request: Request, job_id: str) -> AsyncIterator[bytes]:
    desk, last, quiet = desk_of(request), b"", 0.0
    while (job := desk.works.rows.job(job_id)) is not None:
        text = json.dumps(as_told(request, job), ensure_ascii=False).encode()
        if text != last:
            last, quiet = text, 0.0
            yield b"event: " + job.state.encode() + b"\ndata: " + text + b"\n\n"
        if job.has_ended:
            return
        await asyncio.sleep(LOOK_EACH_S)
        quiet += LOOK_EACH_S
        if quiet >= PING_EACH_S:
            quiet = 0.0
            yield b": still at it\n\n"


def accepted(request: Request, job: LongJob) -> Response:
    """Return the answer that tells a client of a job.

    Who fetches a file and did not ask for a job is refused for now: what is saved as a mesh has to be one.
    """
    desk = desk_of(request)
    if request.method in ("GET", "HEAD") and not is_asynchronous(request):
        again = _again_in_s(desk, job)
        detail = f"it is being made; ask again in {again} s, or follow GET /jobs/{job.id}"
        before = request.scope.get("root_path", "")
        headers = {"Retry-After": str(again), "Link": f'<{before}/jobs/{job.id}>; rel="status"'}
        return problem(503, "It takes longer", detail, headers)
    headers = {
        "Location": f"{request.scope.get('root_path', '')}/jobs/{job.id}",
        "Retry-After": str(_again_in_s(desk, job)),
        "Cache-Control": "no-store",
    }
    return Response(json_bytes(as_told(request, job)), 202, headers, "application/json")


def as_told(request: Request, job: LongJob) -> dict[str, Any]:
    """Return a job as plain values; where a seat is shaped its id is the seat's."""
    before = request.scope.get("root_path", "")
    return {
        "id": job.id,
        "seat": job.work.seat,
        "state": job.state,
        "words": job.words,
        "share": job.share or 0.0,
        "result": before + (job.result or f"/jobs/{job.id}/result") if job.state == DONE else None,
        "problem": job.problem,
        "created": datetime.fromtimestamp(job.created, UTC).isoformat(timespec="seconds"),
        "retry_after_s": None if job.has_ended else _again_in_s(desk_of(request), job),
    }


def _again_in_s(desk: Desk, job: LongJob) -> int:
    """Return after how many seconds it is worth while to ask again."""
    return min(30, desk.long.turns.retry_after_s()) if job.state == "queued" else 2


def _found(desk: Desk, job_id: str) -> LongJob:
    job = desk.works.rows.job(job_id)
    if job is None:
        raise ProblemError(404, "There is no such job", "no job has this id; jobs are told of for a day")
    return job
