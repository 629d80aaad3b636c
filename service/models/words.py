"""Words of which an answer or a request holds one: each list has its name in the document, its words from its owner."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated, Any, get_args

from pydantic import WithJsonSchema

from seatmesh.body.body import Origin as OriginWords
from seatmesh.body.body import Sex as SexWords
from seatmesh.body.figure.posture import POSTURES
from seatmesh.body.measures import MEASURES
from seatmesh.design.orders.given_order import TABLES
from seatmesh.files.keys.table import KeyRows
from seatmesh.formats.registry import formats_written
from seatmesh.gauge.check.check_report import STATES
from seatmesh.units import ALLOWED_UNITS

COMPONENT = "x-component"
"""Marks a schema that the document keeps once, under this name among its components."""
MESHES = {one.name: one for one in formats_written().values()}
"""Every format that a seat is written in, by its suffix without the dot."""


def named_words(name: str, words: Iterable[Any]) -> dict[str, Any]:
    """Return the schema of one of a few words, with the name that programs know it by."""
    return {"type": "string", "enum": list(words), COMPONENT: name}


def one_of(name: str, words: Iterable[Any]) -> WithJsonSchema:
    """Return what says so of a field or a parameter."""
    return WithJsonSchema(named_words(name, words))


def word_name(table: str, key: str) -> str:
    """Return the name of the words of a key: those of units have but one, wherever they stand."""
    if key in ("units", "outline_units"):
        return "Units"
    return "".join(part.capitalize() for part in f"{table}_{key}".split("_"))


def _of_order(table: str, key: str) -> WithJsonSchema:
    """Return the words of a key of an order."""
    (rows,) = (one for one in TABLES if one.name == table)
    keys = (rows.table if isinstance(rows, KeyRows) else rows).keys
    (kind,) = (one.kind for one in keys if one.name == key)
    return one_of(word_name(table, key), kind.schema()["enum"])


UNITS = named_words("Units", ALLOWED_UNITS)
SEX = named_words("Sex", get_args(SexWords))
POSTURE = named_words("Posture", POSTURES)

Units = Annotated[str, WithJsonSchema(UNITS)]
Sex = Annotated[str, WithJsonSchema(SEX)]
Posture = Annotated[str, WithJsonSchema(POSTURE)]
Origin = Annotated[str, one_of("Origin", get_args(OriginWords))]
MeasureUnit = Annotated[str, one_of("MeasureUnit", sorted({one.unit for one in MEASURES.values()}))]
PointState = Annotated[str, one_of("PointState", STATES)]
BarLie = Annotated[str, one_of("BarLie", ("across", "along"))]
MeshSuffix = Annotated[str, one_of("MeshSuffix", MESHES)]
FormatKind = Annotated[str, one_of("FormatKind", dict.fromkeys(one.kind for one in MESHES.values()))]
Action = Annotated[str, _of_order("adjustment", "action")]
AdjustmentSide = Annotated[str, _of_order("adjustment", "side")]
Tag = Annotated[str, _of_order("adjustment", "tag")]
Bark = Annotated[str, _of_order("board", "bark")]
Rings = Annotated[str, _of_order("board", "rings")]
DeckLine = Annotated[str, _of_order("blank", "deck_line")]
MarkName = Annotated[str, _of_order("mark", "name")]
MarkSide = Annotated[str, _of_order("mark", "side")]
JointKind = Annotated[str, _of_order("joint", "kind")]
