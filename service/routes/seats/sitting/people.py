"""People not yet met on a seat: a study that takes long, as JSON, as a sheet, or everybody as a table."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response

from seatmesh.errors import ValueRefusedError
from seatmesh.files.toml_file import refuse_unknown
from seatmesh.people.criteria import Asked
from seatmesh.units import real_number, shown

from ....answers import MEDIA_TYPES
from ....answers.accepted import form_asked_for
from ....desk import desk_of
from ....keeping.identity import canonical_bytes, digest
from ....models import PeopleOut
from ....models.answers import BINARY, posted_long
from ....models.refusals import POSTED
from ....models.words import one_of
from ....requests.intake import read_table
from ....schema import PEOPLE_EXAMPLE, body_of_request, people_schema
from ....tasks.of_a_seat.people import public_of
from ..file_answer import file_answer
from ..seat_id import SeatId

router = APIRouter(prefix="/seats", tags=["sitting"])
FORMS = ("json", "png", "parquet")
MEDIA = {one: MEDIA_TYPES[one].partition(";")[0] for one in FORMS}
KEYS = ("count", "seed", "public", "asked", "front_height_mm")
COUNT, SEED = 1000, 1
HEIGHTS_MM = (200.0, 900.0)
PeopleForm = Annotated[str, one_of("PeopleFormat", FORMS)]
OTHERS = {"content": {MEDIA[one]: {"schema": BINARY} for one in FORMS[1:]}}


@router.post(
    "/{seat_id}/people",
    operation_id="seat_people",
    response_model=PeopleOut,
    responses=posted_long(404, *POSTED, answer=OTHERS),
    openapi_extra=body_of_request(
        people_schema(), PEOPLE_EXAMPLE, "which people, and what is asked of the seat"
    ),
)
async def people(
    request: Request,
    seat_id: SeatId,
    form: Annotated[
        PeopleForm | None,
        Query(alias="format", description="left out: what the header Accept asks for", examples=["json"]),
    ] = None,
) -> Response:
    """Draw people not yet met, sit them on a seat, and say whom it serves and whom it fails; mostly a job.

    As JSON; as a sheet (PNG); or everybody as a table (Parquet).
    """
    desk = desk_of(request)
    desk.seat(seat_id)
    suffix = form_asked_for(form, request, MEDIA)
    asked = _question(await read_table(request), desk.limits.people)
    name, task = f"people-{digest(canonical_bytes(asked))}.{suffix}", f"people-{suffix}"
    answer = await file_answer(request, seat_id, name, suffix, task, asked, tail=f"-people.{suffix}")
    answer.headers.add_vary_header("Accept")
    return answer


def _question(table: dict[str, Any], most: int) -> dict[str, Any]:
    """Return all that a request asks, with what is usual; InputError in words."""
    refuse_unknown(table, KEYS, "body")
    public = table.get("public", "soldiers")
    if not isinstance(public, str | dict):
        raise ValueRefusedError("public", shown(public), "allowed is a name or a table", "such as us-2011")
    public_of(public)
    bounds = table.get("asked", {})
    if not isinstance(bounds, dict):
        raise ValueRefusedError(
            "asked", shown(bounds), "allowed is a table of bounds", 'such as {"knee_clearance_mm": 30}'
        )
    bounds = {name: None if one is None else real_number(name, one) for name, one in bounds.items()}
    Asked().with_bounds(bounds)
    height = table.get("front_height_mm")
    if height is not None:
        height = real_number("front_height_mm", height)
        if not HEIGHTS_MM[0] <= height <= HEIGHTS_MM[1]:
            low, high = HEIGHTS_MM
            raise ValueRefusedError(
                "front_height_mm", height, f"allowed are {low:g} to {high:g} mm", "measure from the ground"
            )
    return {
        "count": _whole("count", table.get("count", COUNT), 1, most),
        "seed": _whole("seed", table.get("seed", SEED), 0, 2**53),
        "public": public,
        "asked": bounds,
        "front_height_mm": height,
    }


def _whole(name: str, given: Any, least: int, most: int) -> int:
    number = real_number(name, given)
    if number != int(number) or not least <= number <= most:
        raise ValueRefusedError(name, shown(given), f"allowed are {least} to {most}", "give a whole number")
    return int(number)
