"""What requests may hold, as JSON schema, made from the records that read orders and from the table of measures."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from seatmesh.body.habit_keys import HABIT
from seatmesh.body.measures import MEASURES
from seatmesh.body.survey.population import SEXES
from seatmesh.design.orders.given_order import TABLES
from seatmesh.design.orders.keys.top import TOP
from seatmesh.files.keys.key import Key, Schema
from seatmesh.files.keys.number import LENGTH_IN_WORDS, Number
from seatmesh.files.keys.table import KeyTable
from seatmesh.gauge.bar.gauge_sheet import COLUMNS
from seatmesh.gauge.check.check_readings import LEAST_TOLERANCE_MM, MOST_TOLERANCE_MM
from seatmesh.people.criteria import CRITERIA
from seatmesh.people.given_public import AGE_KEYS, MOST_WORDS
from seatmesh.people.public import TABLES as PUBLICS
from seatmesh.seating.sit import MOST_LOAD_N
from seatmesh.units import column

from .models.answers import BINARY, BYTES
from .models.words import COMPONENT, MESHES, POSTURE, SEX, UNITS, named_words, word_name

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
PEOPLE_EXAMPLE: Schema = {"count": 20, "public": "us-2011", "asked": {"knee_clearance_mm": 30}}
BATCH_EXAMPLE: Schema = {"orders": [ORDER_EXAMPLE], "files": ["stl"], "scale": "1:4"}
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
    for name, one in MEASURES.items():
        measures[name] = measures[name] | {"description": one.title}
    error = {"anyOf": [{"type": "number", "exclusiveMinimum": 0}, LENGTH_IN_WORDS]}
    keys = {
        "name": {"type": "string", "minLength": 1, "maxLength": 80},
        "sex": SEX | {"description": "may be left out"},
        **measures,
        "standard_errors": closed_table("StandardErrors", dict.fromkeys(MEASURES, error))
        | {"description": "how unsure each measure is, where it is not as usual"},
        "habit": _keys("BodyHabit", HABIT),
    }
    said = {"required": ["stature_mm", "mass_kg"], "description": "A body: the keys of a body file."}
    return closed_table("Body", keys) | said


def order_schema() -> Schema:
    """Return the schema of an order: the keys of an order file, but for those that name a file beside it."""
    whole = _keys("Order", TOP) | {"description": "An order: the keys of an order file."}
    for one in TABLES:
        name = f"Order{one.name.capitalize()}"
        if isinstance(one, KeyTable):
            whole["properties"][one.name] = _keys(name, one)
            continue
        rows: Schema = {"type": "array", "items": _keys(name, one.table), "maxItems": one.most}
        if one.needed:
            rows["minItems"] = 1
            whole["required"] = [*whole.get("required", []), one.name]
        whole["properties"][one.name] = rows
    sitter = whole["properties"]["sitter"]["items"]["properties"]
    sitter["body"] = _body_or_name() | {"title": sitter["body"]["title"]}
    return whole


def maps_schema() -> Schema:
    """Return the schema of a question about bodies on a seat."""
    keys: Schema = {
        "bodies": {
            "type": "array", "items": _body_or_name(), "minItems": 1, "maxItems": 12,
            "description": "left out: the sitters of the order",
        },
        "posture": POSTURE,
        "load_n": {
            "type": ["number", "null"], "exclusiveMinimum": 0, "maximum": MOST_LOAD_N,
            "description": "newtons; left out: what the sitter's mass, feet and rake give",
        },
        "units": {"anyOf": [UNITS, {"type": "null"}], "description": "how a picture speaks"},
    }  # fmt: skip
    return closed_table("Question", keys) | {"description": "Who sits on a seat, and how."}


def many_schema() -> Schema:
    """Return the schema of a question about many bodies on a seat."""
    asked = maps_schema()
    keys = {name: one for name, one in asked["properties"].items() if name != "units"}
    keys["bodies"] = {"type": "array", "items": _body_or_name(), "minItems": 1}
    said = {"required": ["bodies"], "description": "Many bodies who sit on a seat, and how."}
    return closed_table("ManyBodies", keys) | said


def people_schema() -> Schema:
    """Return the schema of a question about people not yet met."""
    spread: Schema = {"type": "object", "properties": {"mean": {"type": "number"}, "sd": {"type": "number"}}}
    spread |= {"required": ["mean", "sd"], "additionalProperties": False}
    by_sex: Schema = {
        "type": "object",
        "properties": dict.fromkeys(SEXES, spread),
        "additionalProperties": False,
    }
    band = {name: {"type": "number"} for name in AGE_KEYS}
    public = {
        "words": {"type": "string", "maxLength": MOST_WORDS, "description": "what they are called"},
        "women_share": {"type": "number", "minimum": 0, "maximum": 1, "description": "share of women"},
        "stature_mm": by_sex | {"description": "left out: the survey's"},
        "mass_kg": by_sex | {"description": "left out: the survey's"},
        "ages": {
            "type": "array", "description": "bands of age, 18 to 58 years; left out: the survey's ages",
            "items": {
                "type": "object", "properties": band, "required": list(band), "additionalProperties": False,
            },
        },
    }  # fmt: skip
    bounds = {
        one.name: {"type": ["number", "null"], "minimum": one.allowed[0], "maximum": one.allowed[1]}
        | {"description": f"{one.words.format('so many')}; null leaves it out"}
        for one in CRITERIA
    }
    keys: Schema = {
        "count": {"type": "integer", "minimum": 1, "description": "people to draw; left out: 1000"},
        "seed": {"type": "integer", "minimum": 0, "description": "other people for another number; left out: 1"},
        "public": {
            "anyOf": [named_words("PublicName", list(PUBLICS)), closed_table("GivenPublic", public)],
            "description": "a cited table by name, or means and spreads; left out: the survey's soldiers",
        },
        "asked": closed_table("Bounds", bounds) | {"description": "criteria with other bounds than the usual ones"},
        "front_height_mm": {
            "type": ["number", "null"], "minimum": 200, "maximum": 900,
            "description": "of the front edge above the ground; left out: the order's",
        },
    }  # fmt: skip
    return closed_table("PeopleQuestion", keys) | {
        "description": "For how many people a seat is good, and by what."
    }


def batch_schema() -> Schema:
    """Return the schema of a batch of orders."""
    suffixes = [name for name, one in MESHES.items() if one.kind != "heights"]
    keys: Schema = {
        "orders": {"type": "array", "items": order_schema(), "minItems": 1},
        "files": {
            "type": "array", "items": named_words("SolidSuffix", suffixes), "description": "to make of each seat",
        },
        "scale": {"type": "string", "description": "of the files: 1:4, 1/4, 25% or 0.25"},
    }  # fmt: skip
    said = {"required": ["orders"], "description": "Orders that are given together."}
    return closed_table("Orders", keys) | said


def gauge_schema() -> Schema:
    """Return the schema of readings of a gauge."""
    tolerance = {
        "type": ["number", "null"], "minimum": LEAST_TOLERANCE_MM, "maximum": MOST_TOLERANCE_MM,
        "description": "how near the carving is to come",
    }  # fmt: skip
    keys: Schema = {
        "readings": {"type": "array", "items": _reading()},
        "tolerance_mm": tolerance,
        "units": {"anyOf": [UNITS, {"type": "null"}], "description": "how places are told in words"},
        "set_aside": {
            "type": ["boolean", "null"],
            "description": "leave readings out that cannot be meant, and say which, instead of refusing all",
        },
    }
    said = {"required": ["readings"], "description": "Readings of a gauge, one for each crossing read."}
    return closed_table("Readings", keys) | said


def _reading() -> Schema:
    """Return the schema of a row of a gauge sheet: lengths in mm, or under names that end in `_in` in inches."""
    length: Schema = {"type": ["number", "string", "null"]}
    number: Schema = {"type": ["integer", "string", "null"]}
    keys: Schema = {name: number for name in COLUMNS if not name.endswith("_mm")}
    for name in COLUMNS:
        if name.endswith("_mm"):
            keys |= {
                name: length | {"description": "mm, or text with a unit of its own"},
                column(name, "in"): length | {"description": f"inches, in place of {name}"},
            }
    keys["point"] = {"type": ["integer", "string"], "description": "the number of the crossing on its sheet"}
    keys["confirmed"] = {
        "type": ["boolean", "integer", "string", "null"],
        "description": "1 where it read the same, the bar lifted and set down anew",
    }
    keys["note"] = {"description": "whatever stands there; it is not read"}
    said = {"required": ["point"], "description": "A row of a gauge sheet, with what was read there."}
    return closed_table("Reading", keys) | said


def body_of_request(schema: Schema, example: Any, words: str) -> Schema:
    """Return what FastAPI takes as `openapi_extra` for a route that reads a JSON body itself."""
    content = {"application/json": {"schema": schema, "example": example}}
    return {"requestBody": {"required": True, "description": words, "content": content}}


def file_of_request(media_type: str, example: str | None, words: str) -> Schema:
    """Return likewise for a route that reads a file's bytes, sent as those or as `media_type`."""
    content: Schema = {"schema": BINARY | {"contentMediaType": media_type}}
    if example is not None:
        content["example"] = example
    return {"requestBody": {"required": True, "description": words, "content": {BYTES: content}}}


def _keys(name: str, table: KeyTable[Any]) -> Schema:
    """Return the schema of a table: each key with its title, meaning and default."""
    made = closed_table(name, {key.name: _key(table, key) for key in table.keys if not key.names_file})
    needed = [key.name for key in table.keys if key.needed and not key.needed_for]
    meaning = {"description": table.meaning} if table.meaning else {}
    return made | meaning | ({"required": needed} if needed else {})


def _key(table: KeyTable[Any], key: Key) -> Schema:
    default = table.default(key)
    told: Schema = {"title": key.label, "description": key.meaning}
    kind = key.kind.schema()
    if "enum" in kind:
        kind = named_words(word_name(table.name, key.name), kind["enum"])
    return kind | told | ({} if default is None else {"default": default})


def _number(low: float, high: float, unit: str) -> Schema:
    return Number(low, high, "mm" if unit == "mm" else "").schema()


def closed_table(name: str, properties: Mapping[str, Any]) -> Schema:
    """Return the schema of a table that has no other keys, under the name that programs know it by."""
    closed = {"type": "object", "additionalProperties": False, "properties": dict(properties)}
    return {COMPONENT: name, **closed}


def _body_or_name() -> Schema:
    name = {"type": "string", "minLength": 1, "description": "the name of a body that GET /bodies lists"}
    return {"anyOf": [body_schema(), name]}
