"""What requests may hold, as JSON schema, made from the records that read orders and from the table of measures."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from seatmesh.body.figure.posture import POSTURES
from seatmesh.body.habit_keys import HABIT
from seatmesh.body.measures import MEASURES
from seatmesh.design.orders.given_order import TABLES
from seatmesh.design.orders.keys.top import TOP
from seatmesh.files.keys.key import Key, Schema
from seatmesh.files.keys.number import LENGTH_IN_WORDS, Number
from seatmesh.files.keys.table import KeyTable
from seatmesh.gauge.bar.gauge_sheet import COLUMNS
from seatmesh.gauge.check.check_readings import LEAST_TOLERANCE_MM, MOST_TOLERANCE_MM
from seatmesh.seating.sit import MOST_LOAD_N

BODY_EXAMPLE = {"name": "Anna", "sex": "female", "stature_mm": 1640, "mass_kg": 61}
ORDER_EXAMPLE: Schema = {
    "title": "Anna's chair",
    "units": "mm",
    "blank": {"width_mm": 470, "depth_mm": 420, "thickness_mm": 45, "floor_mm": 20, "deck_mm": 50},
    "chair": {"rake_deg": 2},
    "sitter": [{"body": BODY_EXAMPLE}],
    "wishes": {"depth_mm": 16, "pommel_mm": 6, "front_roll_mm": 20},
}
MAPS_EXAMPLE = {"bodies": ["viola", BODY_EXAMPLE], "posture": "upright"}
READINGS_EXAMPLE: Schema = {
    "tolerance_mm": 0.5,
    "readings": [
        {"point": 1, "x_mm": 0, "y_mm": 20, "expected_mm": 40, "reading_mm": 40, "datum_mm": 40},
        {"point": 2, "x_mm": -60, "y_mm": 20, "expected_mm": 40, "reading_mm": 39.2, "datum_mm": 40},
        {"point": 3, "x_mm": 60, "y_mm": 20, "expected_mm": 40, "reading_mm": 40.1, "datum_mm": 40},
    ],
}
"""Three crossings on the deck, which any seat leaves flat."""


def body_schema() -> Schema:
    """Return the schema of a body: the keys of a body file."""
    measures = {name: _number(one.lowest, one.highest, one.unit) for name, one in MEASURES.items()}
    error = {"anyOf": [{"type": "number", "exclusiveMinimum": 0}, LENGTH_IN_WORDS]}
    return {
        "type": "object",
        "additionalProperties": False,
        "required": ["stature_mm", "mass_kg"],
        "properties": {
            "name": {"type": "string", "minLength": 1, "maxLength": 80},
            "sex": {"enum": ["male", "female"], "description": "may be left out"},
            **measures,
            "standard_errors": _table(dict.fromkeys(MEASURES, error)),
            "habit": _keys(HABIT),
        },
    }


def order_schema() -> Schema:
    """Return the schema of an order: the keys of an order file, but for those that name a file beside it."""
    whole = _keys(TOP)
    for one in TABLES:
        if isinstance(one, KeyTable):
            whole["properties"][one.name] = _keys(one)
            continue
        rows: Schema = {"type": "array", "items": _keys(one.table), "maxItems": one.most}
        if one.needed:
            rows["minItems"] = 1
            whole["required"] = [*whole.get("required", []), one.name]
        whole["properties"][one.name] = rows
    sitter = whole["properties"]["sitter"]["items"]["properties"]
    sitter["body"] = _body_or_name() | {"title": sitter["body"]["title"]}
    return whole


def maps_schema() -> Schema:
    """Return the schema of a question about bodies on a seat."""
    return {
        "type": "object",
        "additionalProperties": False,
        "properties": {
            "bodies": {
                "type": "array", "items": _body_or_name(), "minItems": 1, "maxItems": 12,
                "description": "left out: the sitters of the order",
            },
            "posture": {"enum": list(POSTURES)},
            "load_n": {
                "type": ["number", "null"], "exclusiveMinimum": 0, "maximum": MOST_LOAD_N,
                "description": "newtons; left out: what the sitter's mass, feet and rake give",
            },
            "units": {"enum": ["mm", "in", None], "description": "how a picture speaks"},
        },
    }  # fmt: skip


def gauge_schema() -> Schema:
    """Return the schema of readings of a gauge."""
    row = {
        "type": "object",
        "additionalProperties": False,
        "properties": {name: {} for name in COLUMNS},
    }
    tolerance = {"type": ["number", "null"], "minimum": LEAST_TOLERANCE_MM, "maximum": MOST_TOLERANCE_MM}
    return {
        "type": "object",
        "additionalProperties": False,
        "required": ["readings"],
        "properties": {
            "readings": {"type": "array", "items": row},
            "tolerance_mm": tolerance,
            "units": {"enum": ["mm", "in", None], "description": "how places are told in words"},
        },
    }


def body_of_request(schema: Schema, example: Any, words: str) -> Schema:
    """Return what FastAPI takes as `openapi_extra` for a route that reads a JSON body itself."""
    content = {"application/json": {"schema": schema, "example": example}}
    return {"requestBody": {"required": True, "description": words, "content": content}}


def _keys(table: KeyTable[Any]) -> Schema:
    """Return the schema of a table: each key with its title, meaning and default."""
    made = _table({key.name: _key(table, key) for key in table.keys if not key.names_file})
    needed = [key.name for key in table.keys if key.needed and not key.needed_for]
    meaning = {"description": table.meaning} if table.meaning else {}
    return made | meaning | ({"required": needed} if needed else {})


def _key(table: KeyTable[Any], key: Key) -> Schema:
    default = table.default(key)
    told: Schema = {"title": key.label, "description": key.meaning}
    return key.kind.schema() | told | ({} if default is None else {"default": default})


def _number(low: float, high: float, unit: str) -> Schema:
    return Number(low, high, "mm" if unit == "mm" else "").schema()


def _table(properties: Mapping[str, Any]) -> Schema:
    return {"type": "object", "additionalProperties": False, "properties": dict(properties)}


def _body_or_name() -> Schema:
    name = {"type": "string", "minLength": 1, "description": "the name of a body that GET /bodies lists"}
    return {"anyOf": [body_schema(), name]}
