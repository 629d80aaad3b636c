"""What requests about photographs may hold, as JSON schema."""

from __future__ import annotations

from typing import Any

from seatmesh.design.orders.keys.mark import MARK
from seatmesh.files.keys.key import Schema
from seatmesh.files.keys.number import LENGTH_IN_WORDS
from seatmesh.marks.camera_marks import MOST_EDGE, MOST_KNOWN, MOST_MARKS
from seatmesh.marks.camera_slips import LEAST_KNOWN

from .models.words import named_words, word_name
from .schema import closed_table, order_schema

WOOD_EXAMPLE: Schema = {"blank": {"width_mm": 480, "depth_mm": 430, "outline": "straight-sided"}}
PHOTOGRAPH_EXAMPLE: Schema = {
    **WOOD_EXAMPLE,
    "image_size_px": [4000, 3000],
    "known": [
        {"name": "rear left corner", "pixel": [3256, 560], "x_mm": -240, "y_mm": 0},
        {"name": "rear right corner", "pixel": [744, 560], "x_mm": 240, "y_mm": 0},
        {"name": "front right corner", "pixel": [476, 2590], "x_mm": 240, "y_mm": 430},
        {"name": "front left corner", "pixel": [3524, 2590], "x_mm": -240, "y_mm": 430},
    ],
    "edge": [[2000, 560], [2600, 2590]],
    "mark": [{"name": "sit bone", "side": "left", "pixel": [2320, 1210]}],
}


def wood_schema() -> Schema:
    """Return the schema of a question about a blank alone."""
    said = {"description": "A blank: the keys of an order's, but for those that name a file beside it."}
    return closed_table("BareBlank", {"blank": order_schema()["properties"]["blank"]}) | said


def photograph_schema() -> Schema:
    """Return the schema of what was pointed at in a photograph."""
    pixel: Schema = {
        "type": "array", "items": {"type": "number", "minimum": 0}, "minItems": 2, "maxItems": 2,
        "description": "from the left and from the top of the whole picture; none need be whole",
    }  # fmt: skip
    place: Schema = {"anyOf": [{"type": "number"}, LENGTH_IN_WORDS]}
    known = closed_table(
        "KnownPoint",
        {
            "name": {"type": "string", "description": "what a refusal calls it"},
            "pixel": pixel,
            "x_mm": place | {"description": "from the centre line; negative on the sitter's left"},
            "y_mm": place | {"description": "from the rear edge"},
        },
    )
    known["required"] = ["pixel", "x_mm", "y_mm"]
    words = {key.name: key.kind.schema()["enum"] for key in MARK.keys if key.name in ("name", "side")}
    mark = closed_table(
        "SeenMark",
        {
            **{name: named_words(word_name("mark", name), enum) for name, enum in words.items()},
            "pixel": pixel,
            "sitter": {"type": "string", "description": "whose it is, where several sit"},
        },
    )
    mark["required"] = ["name", "pixel"]
    keys: dict[str, Any] = {
        "blank": order_schema()["properties"]["blank"],
        "image_size_px": pixel | {"description": "width and height of the whole picture"},
        "known": _rows(known, LEAST_KNOWN, MOST_KNOWN) | {"description": "points whose places are known"},
        "edge": _rows(pixel, 0, MOST_EDGE) | {"description": "anywhere on the outline of the top face"},
        "mark": _rows(mark, 0, MOST_MARKS) | {"description": "left out, the points alone are judged"},
    }
    said = {
        "required": ["image_size_px", "known"],
        "description": "What was pointed at in a photograph of the marked blank.",
    }
    return closed_table("Photograph", keys) | said


def _rows(schema: Schema, least: int, most: int) -> Schema:
    return {"type": "array", "items": schema, "minItems": least, "maxItems": most}
