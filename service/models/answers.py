"""Answers of routes, as the document tells them: JSON and files, their headers, 201, 202 and 304."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from .base import Answer
from .jobs import JobOut
from .refusals import CHANGED, READ, refusals
from .words import COMPONENT

Responses = dict[int | str, dict[str, Any]]

BYTES = "application/octet-stream"
BINARY = {"type": "string", "format": "binary"}
OBJECT = {"type": "object", "additionalProperties": True}
TEXT = {"type": "string"}
HEADERS = {
    "ETag": ("tag of these bytes, for If-None-Match", '"5f0c3a9d2b7e41c8"'),
    "Location": ("address of what was made, or of the job that makes it", "/jobs/5f0c3a9d2b7e41c8"),
    "Retry-After": ("seconds after which to ask again", "3"),
    "Content-Disposition": (
        "name to save the file under, by RFC 6266",
        'attachment; filename="annas-chair-mm.stl"',
    ),
    "WWW-Authenticate": ("how to send the token", "Bearer"),
}
"""Headers that answers share: what each says, and how it looks."""
NOT_MODIFIED = {
    "description": "The client has it already: its tag is among If-None-Match",
    COMPONENT: "NotModified",
}


def got(*statuses: int, made: bool = False) -> Responses:
    """Return the answers of a GET whose JSON has a tag, and its refusals; `made`: work may be needed for it first."""
    return {200: {"headers": headers("ETag")}, 304: NOT_MODIFIED, **_work(made), **refusals(*READ, *statuses)}


def posted(*statuses: int, answer: Mapping[str, Any] | None = None) -> Responses:
    """Return the answer of a POST that is answered at once, with more said of it, and its refusals."""
    return {200: {**(answer or {}), "headers": headers("ETag")}, **refusals(406, *CHANGED, *statuses)}


def posted_long(*statuses: int, answer: Mapping[str, Any] | None = None) -> Responses:
    """Return the answer of a POST that may take long, 202 with a job included."""
    return {**posted(*statuses, answer=answer), **accepted()}


def got_file(words: str, types: Iterable[str], *statuses: int, made: bool = False) -> Responses:
    """Return the answers of a GET that gives a file of one of some media types, and its refusals.

    What is no CSV comes as plain bytes too, for a client that accepts nothing else.
    """
    plain = [one.partition(";")[0] for one in types]
    is_table = plain == ["text/csv"]
    kinds = {"text/csv": TEXT if is_table else BINARY, "application/json": OBJECT}
    content = {one: {"schema": kinds.get(one, BINARY)} for one in ([] if is_table else [BYTES]) + plain}
    file = {"description": words, "content": content, "headers": headers("ETag", "Content-Disposition")}
    return {200: file, 304: NOT_MODIFIED, **_work(made), **refusals(*READ, *statuses)}


def got_page(words: str, *statuses: int) -> Responses:
    """Return the answers of a GET that gives a page to read, and its refusals."""
    page = {"description": words, "content": {"text/html": {"schema": TEXT}}, "headers": headers("ETag")}
    return {200: page, 304: NOT_MODIFIED, **refusals(*READ, *statuses)}


def created(
    model: type[Answer], *statuses: int, words: str = "It was made, or was there already"
) -> Responses:
    """Return 201 with what was made, and its address, 202 with a job where it takes long, and the refusals."""
    made = {"model": model, "description": words, "headers": headers("Location", "ETag")}
    return {201: made, **accepted(), **refusals(406, *CHANGED, *statuses)}


def accepted(words: str = "It takes long: follow the job at Location") -> Responses:
    """Return 202 with the job that makes what was asked for, its address, and when to ask again."""
    return {202: {"model": JobOut, "description": words, "headers": headers("Location", "Retry-After")}}


def done(words: str, *statuses: int) -> Responses:
    """Return 204: it was done, and there is nothing to say; and the refusals."""
    return {204: {"description": words}, **refusals(*CHANGED, *statuses)}


def events(*statuses: int) -> Responses:
    """Return a stream of server-sent events whose data is a job each, and the refusals."""
    stream = {"text/event-stream": {"schema": TEXT}}
    told = {"description": "The job as it goes on, one event a change", "content": stream}
    return {200: told, **refusals(406, *statuses)}


def headers(*names: str) -> dict[str, dict[str, str]]:
    """Return references to headers that answers share."""
    return {name: {"$ref": f"#/components/headers/{name}"} for name in names}


def _work(made: bool) -> Responses:
    return accepted() if made else {}
