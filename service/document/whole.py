"""The document as it is served: made once from the application's routes."""

from __future__ import annotations

from functools import cache
from typing import Any

from fastapi import FastAPI
from fastapi.openapi.utils import get_openapi

from ..keeping.identity import seat_id
from ..models.base import Problem
from ..schema import ORDER_EXAMPLE
from .components import SCHEMAS, Schema, named
from .shared import operations, share

SERVER = {"url": "/", "description": "the service that gave this document"}
SEAT_IDS = ("seat_id", "after")
"""Parameters that hold the id of a seat; as an example stands that of the order which is one."""
MADE = {"200": "id", "201": "id", "202": "seat"}
"""Where an answer of POST /seats holds the id of the seat, by its status."""


def describe(app: FastAPI) -> None:
    """Let an application give this document as its own."""

    @cache
    def document() -> dict[str, Any]:
        return document_of(app)

    app.openapi = document  # type: ignore[method-assign]


def document_of(app: FastAPI) -> dict[str, Any]:
    """Return the OpenAPI document of an application's routes."""
    document: Schema = get_openapi(
        title=app.title,
        version=app.version,
        description=app.description,
        routes=app.routes,
        license_info={"name": "MIT", "identifier": "MIT"},
        servers=[SERVER],
    )
    schemas = document.setdefault("components", {}).setdefault("schemas", {})
    problem = Problem.model_json_schema(mode="serialization", ref_template=SCHEMAS + "{model}")
    schemas.update({**problem.pop("$defs", {}), "Problem": problem})
    for operation in operations(document):
        _say(operation)
    named(document)
    share(document)
    _add_links(document["paths"])
    return document


def _say(operation: Schema) -> None:
    """Sum an operation up in its name, drop the framework's refusals, and show an example of each parameter."""
    operation["summary"] = operation["operationId"].replace("_", " ").capitalize()
    refused = operation["responses"].get("422", {})
    if "HTTPValidationError" in str(refused):
        del operation["responses"]["422"]
    for parameter in operation.get("parameters", []):
        schema = _without_null(parameter["schema"])
        schema.pop("title", None)
        parameter.setdefault("description", schema.pop("description", ""))
        schema.pop("description", None)
        examples = schema.pop("examples", None)
        parameter["schema"] = schema
        if parameter["name"] in SEAT_IDS:
            parameter["example"] = seat_id(ORDER_EXAMPLE)
        elif examples:
            parameter["example"] = examples[0]


def _without_null(schema: Schema) -> Schema:
    """Return the schema of a parameter that may be left out: there is no null in an address."""
    kinds = [one for one in schema.get("anyOf", []) if one != {"type": "null"}]
    if len(kinds) == 1:
        return {**{key: one for key, one in schema.items() if key != "anyOf"}, **kinds[0]}
    return dict(schema)


def _add_links(paths: Schema) -> None:
    """Say in the document that the id which POST /seats answers is the one in the paths of a seat."""
    for status, answer in paths["/seats"]["post"]["responses"].items():
        if status in MADE:
            given = {"parameters": {"seat_id": f"$response.body#/{MADE[status]}"}}
            answer["links"] = {
                operation["operationId"]: {"operationId": operation["operationId"], **given}
                for path, methods in paths.items()
                if "{seat_id}" in path
                for operation in methods.values()
            }
