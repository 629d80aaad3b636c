"""Refusals of routes, as the document tells them: each is described once, and all hold a `Problem`."""

from __future__ import annotations

from typing import Any, NamedTuple

from .words import COMPONENT


class Refusal(NamedTuple):
    """A status, the name of its answer in the document, and what it means."""

    name: str
    words: str
    headers: tuple[str, ...] = ()


REFUSALS = {
    400: Refusal("BadRequest", "The body cannot be read"),
    401: Refusal("Unauthorized", "A token is needed", ("WWW-Authenticate",)),
    403: Refusal("Forbidden", "A page of another site may not ask for this"),
    404: Refusal("NotFound", "There is no such thing, or it made room for others"),
    406: Refusal("NotAcceptable", "No media type that is accepted can be given"),
    408: Refusal("RequestTimeout", "The body came too slowly"),
    409: Refusal("Conflict", "It cannot be done as things stand"),
    412: Refusal("PreconditionFailed", "It has changed, or is there already"),
    413: Refusal("ContentTooLarge", "The body is too large"),
    415: Refusal("UnsupportedMediaType", "Another media type is needed"),
    416: Refusal("RangeNotSatisfiable", "The file has no such range"),
    421: Refusal("MisdirectedRequest", "Another host is asked for"),
    429: Refusal("TooManyRequests", "Too many requests of yours wait; see Retry-After", ("Retry-After",)),
    422: Refusal("Refused", "The request is refused, or there is no answer"),
    503: Refusal("TooMuchToDo", "Too much to do; see Retry-After", ("Retry-After",)),
    507: Refusal("InsufficientStorage", "There is no room to keep it"),
}
EVERYWHERE = (401, 421, 503)
"""Who asks, where, and a store that cannot be reached for a moment, or a seat that is being shaped."""
WORKING = (429, 503, 507)
"""Where work may be needed."""
READ = (406, 412, 416)
"""What the headers of a request may ask for in vain."""
CHANGED = (403, 412, 507)
"""What changes something, so that it has to be written down."""
POSTED = (400, 408, 413, 415, 422, *WORKING)


def refusals(*statuses: int) -> dict[int | str, dict[str, Any]]:
    """Return the refusals of a route as FastAPI documents them; those of `EVERYWHERE` are possible everywhere."""
    return {
        status: {"description": REFUSALS[status].words, COMPONENT: REFUSALS[status].name}
        for status in sorted({*statuses, *EVERYWHERE})
    }
