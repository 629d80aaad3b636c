"""What all routes share in the document: refusals, headers, the token, conditional requests, and words about tags."""

from __future__ import annotations

from typing import Any

from ..models.answers import HEADERS, NOT_MODIFIED, headers
from ..models.refusals import REFUSALS
from ..models.words import COMPONENT
from ..requests.guard import OPEN
from .components import SCHEMAS, Schema, walked

PROBLEM = {"application/problem+json": {"schema": {"$ref": f"{SCHEMAS}Problem"}}}
TOKEN = {
    "type": "http",
    "scheme": "bearer",
    "description": "what `seatmesh serve --token` was given; a service for its own machine alone needs none",
}
IF_NONE_MATCH = {
    "name": "If-None-Match",
    "in": "header",
    "required": False,
    "description": "tags that the client has: the answer is 304 where one of them is still right",
    "schema": {"type": "string"},
    "example": '"5f0c3a9d2b7e41c8"',
}
TAGS = {
    "service": "Whether the service is up, and its guide.",
    "bodies": "Bodies, what to measure, and what is estimated of the rest.",
    "orders": "Orders as files, and every key that one may have.",
    "seats": "Seats shaped from orders.",
    "jobs": "Work that takes long, and how far it is.",
    "batches": "Many orders in one request, and what came of them as one table or archive.",
    "files": "Files of a seat for other programs: meshes, CAD solids, height maps, tables.",
    "pictures": "Pictures of a seat and its sitters.",
    "sitting": "Bodies on a seat: contact maps and comparisons.",
    "wood": "The wood of a seat: boards, movement, weight, floor.",
    "bench": "What the bench needs: sheets, the job sheet, the gauge, photographs of marks.",
}
"""Words about each tag, in the order in which they are read."""


def share(document: Schema) -> None:
    """Put refusals, headers, parameters and the token among the components, as far as they are used."""
    components = document["components"]
    responses: Schema = {}
    for operation in operations(document):
        for status, answer in operation["responses"].items():
            if COMPONENT in answer:
                name = answer[COMPONENT]
                responses[name] = _response(int(status))
                operation["responses"][status] = {"$ref": f"#/components/responses/{name}"}
    components["responses"] = dict(sorted(responses.items()))
    used = {one["$ref"].rpartition("/")[2] for one in walked(document) if "/headers/" in str(one.get("$ref"))}
    components["headers"] = {name: _header(*told) for name, told in HEADERS.items() if name in used}
    components["parameters"] = {"IfNoneMatch": IF_NONE_MATCH}
    components["securitySchemes"] = {"token": TOKEN}
    document["security"] = [{}, {"token": []}]
    for path, methods in document["paths"].items():
        for method, operation in methods.items():
            if is_open(path):
                operation["security"] = []
                operation["responses"].pop("401", None)
            if method == "get" and "304" in operation["responses"]:
                operation.setdefault("parameters", []).append({"$ref": "#/components/parameters/IfNoneMatch"})
    said = {tag for operation in operations(document) for tag in operation["tags"]}
    document["tags"] = [{"name": name, "description": words} for name, words in TAGS.items() if name in said]


def operations(document: Schema) -> list[dict[str, Any]]:
    """Return every operation of a document."""
    return [operation for methods in document["paths"].values() for operation in methods.values()]


def is_open(path: str) -> bool:
    """Tell whether a path needs no token."""
    return path in OPEN or path.startswith(tuple(f"{one}/" for one in OPEN if one != "/"))


def _response(status: int) -> Schema:
    if status == 304:
        return {"description": NOT_MODIFIED["description"], "headers": headers("ETag")}
    refusal = REFUSALS[status]
    told = {"description": refusal.words, "content": PROBLEM}
    return told | ({"headers": headers(*refusal.headers)} if refusal.headers else {})


def _header(words: str, example: str) -> Schema:
    return {"description": words, "schema": {"type": "string"}, "example": example}
