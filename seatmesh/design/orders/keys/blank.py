"""Keys of the table [blank]: the wood. A form asks for them in this order."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, ClassVar

from seatmesh.errors import ValueRefusedError
from seatmesh.files.keys.key import Key, KeyKind, Schema
from seatmesh.files.keys.lists import Lengths, Points
from seatmesh.files.keys.number import Count, millimetres
from seatmesh.files.keys.table import KeyTable, Values
from seatmesh.files.keys.words import WordKind
from seatmesh.units import ALLOWED_UNITS, shown
from seatmesh.wood.blank import GLUE_JOINTS, OUTLINES, Blank
from seatmesh.wood.deck import DECK_LINES
from seatmesh.wood.outline.from_points import BETWEEN, FEWEST_POINTS, MOST_POINTS

MOST_BOARDS = 12


@dataclass(frozen=True)
class GivenBlank:
    """The table [blank] as it was given: fields of the blank by name, and an outline that is still to be read.

    Attributes
    ----------
    fields
        Those of `seatmesh.wood.blank.Blank` that were given.
    outline
        The keys of an own outline that were given, with their values: `outline_points_mm`, `outline_between`,
        `outline_file`, `outline_units`.
    """

    fields: Mapping[str, Any]
    outline: Mapping[str, Any]


@dataclass(frozen=True)
class DrawingFile(KeyKind):
    """The name of a drawing beside the order."""

    name: ClassVar[str] = "file"

    def read(self, given: object, label: str) -> str:
        """Return the name; whether there is such a file is seen when the outline is read."""
        if isinstance(given, str) and given:
            return given
        raise ValueRefusedError(label, shown(given), "a file of a drawing", "name a .dxf or .svg file")

    def schema(self) -> Schema:
        """Return text."""
        return {"type": "string"}


def _given(values: Values, _where: str) -> GivenBlank:
    outline = {name: value for name, value in values.items() if name.startswith("outline_")}
    return GivenBlank({name: value for name, value in values.items() if name not in outline}, outline)


BLANK = KeyTable(
    name="blank",
    meaning="the wood, below",
    make=_given,
    fields=Blank,
    keys=(
        Key("width_mm", "Width", "across, at its widest", millimetres(200.0, 900.0), asked="first"),
        Key(
            "depth_mm",
            "Depth",
            "from the rear edge to the front edge",
            millimetres(200.0, 700.0),
            asked="first",
        ),
        Key(
            "thickness_mm",
            "Thickness",
            "from the top face to the underside",
            millimetres(15.0, 150.0),
            asked="first",
        ),
        Key(
            "floor_mm",
            "Floor",
            "least wood left under the hollow, down to the real underside; a guide, not a proof of strength",
            millimetres(5.0, 100.0),
            asked="first",
        ),
        Key(
            "deck_mm",
            "Deck",
            "the flat kept for joinery at the back, on the centre line",
            millimetres(0.0, 200.0),
            asked="first",
        ),
        Key("outline", "Outline", "plan outline in a word", WordKind(tuple(OUTLINES))),
        Key(
            "outline_points_mm",
            "Own outline, points",
            "your own outline: points [x, y] of the right half or all round, instead of a word",
            Points(FEWEST_POINTS, MOST_POINTS),
        ),
        Key(
            "outline_between",
            "Between the points",
            "what joins these points: one smooth curve, or straight lines from each to the next",
            WordKind(BETWEEN),
        ),
        Key(
            "outline_file",
            "Own outline, drawing",
            "your own outline: a .dxf or .svg drawing beside the order, instead of a word",
            DrawingFile(),
            names_file=True,
        ),
        Key(
            "outline_units",
            "Unit of the drawing",
            "unit of that drawing where it does not say",
            WordKind(ALLOWED_UNITS),
            names_file=True,
        ),
        Key(
            "corner_radius_mm",
            "Corner radius",
            "radius of the corners of an outline that has some",
            millimetres(0.0, 300.0),
            asked="further",
        ),
        Key(
            "round_over_mm",
            "Round along the top edge",
            "radius of the round along the top edge; 0 is none",
            millimetres(0.0, 60.0),
            asked="further",
        ),
        Key(
            "under_bevel_width_mm",
            "Bevel below, inward",
            "bevel round the underside: how far in from the outline; 0 is none",
            millimetres(0.0, 150.0),
            asked="further",
        ),
        Key(
            "under_bevel_height_mm",
            "Bevel below, upward",
            "bevel round the underside: how far up the edge; 0 is none",
            millimetres(0.0, 100.0),
            asked="further",
        ),
        Key("boards", "Boards", "how many boards of equal width side by side", Count(MOST_BOARDS)),
        Key(
            "glue_lines_mm",
            "Glue lines",
            "where boards meet: x of each glue line, instead of equal widths",
            Lengths(MOST_BOARDS, todo="give x of each glue line, like [-80, 80]"),
        ),
        Key("glue_joint", "Glue joint", "what the glue lines hold", WordKind(GLUE_JOINTS)),
        Key(
            "glue_joint_depth_mm",
            "Glue joint, depth",
            "how far the middle of dowel or tongue lies below the top face",
            millimetres(0.0, 150.0),
        ),
        Key(
            "glue_joint_thickness_mm",
            "Glue joint, thickness",
            "how thick dowel or tongue is",
            millimetres(0.0, 50.0),
        ),
        Key(
            "deck_line",
            "Deck line",
            "front edge of the deck: straight, bowed, or at an offset from the outline",
            WordKind(DECK_LINES),
        ),
        Key(
            "deck_bow_mm",
            "Bow of the deck line",
            "how much farther forward a bowed deck line meets the sides than the centre line; 0 is straight",
            millimetres(-100.0, 150.0),
            asked="further",
        ),
        Key(
            "deck_reach_mm",
            "Reach of the deck",
            "how far forward a deck along the outline runs; left out: half of the blank's depth",
            millimetres(0.0, 700.0),
        ),
        Key(
            "gutter_width_mm",
            "Gutter width",
            "width of the gutter along the deck line",
            millimetres(3.0, 25.0),
            asked="further",
        ),
        Key(
            "gutter_depth_mm",
            "Gutter depth",
            "depth of the gutter along the deck line; 0 is none",
            millimetres(0.0, 12.0),
            asked="further",
        ),
    ),
)
