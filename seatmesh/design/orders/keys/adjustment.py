"""Keys of the tables [[adjustment]]: what a fitting asked for."""

from __future__ import annotations

from seatmesh.adjustment import LEAST_RADIUS_MM, Adjustment
from seatmesh.design.log.fitting_log import ACTIONS, SIDES, TAGS, Entry
from seatmesh.files.keys.across import Across
from seatmesh.files.keys.key import Key
from seatmesh.files.keys.lists import PLACE
from seatmesh.files.keys.number import Number
from seatmesh.files.keys.table import KeyRows, KeyTable, Values
from seatmesh.files.keys.words import Day, Flag, Text, WordKind
from seatmesh.marks.sides import on_side

SAY = "say what is done, where, over what radius and by how much"
MOST_RADIUS_MM = 900.0
"""As wide as the widest blank: one circle over all of it."""


def _entry(values: Values, where: str) -> Entry:
    side = values["side"]
    change = Adjustment(
        x_mm=on_side(values["x_mm"], side, f"{where} x_mm"),
        y_mm=values["y_mm"],
        radius_mm=values["radius_mm"],
        amount_mm=ACTIONS[values["action"]] * values["amount_mm"],
        side="both" if side == "both" else "one",
    )
    told = {key: values[key] for key in ("action", "date", "why", "tag", "locked") if key in values}
    return Entry(change, **told)


ADJUSTMENT = KeyTable(
    name="adjustment",
    meaning="what a fitting asked for; one table for each, see `seatmesh adjust`",
    make=_entry,
    fields=Entry,
    keys=(
        Key("date", "Day", "day, such as 2026-05-31", Day()),
        Key(
            "action",
            "What to do",
            "deepen and ease take wood, raise leaves more",
            WordKind(tuple(ACTIONS)),
            needed=SAY,
        ),
        Key(
            "x_mm",
            "From the centre line",
            "centre of the circle from the centre line; a minus is the sitter's left, as side must say",
            Across(),
            needed=SAY,
        ),
        Key(
            "y_mm",
            "From the rear edge",
            "centre of the circle from the rear edge",
            PLACE,
            needed=SAY,
        ),
        Key(
            "radius_mm",
            "How wide, as a radius",
            "radius of the circle that is changed",
            Number(LEAST_RADIUS_MM, MOST_RADIUS_MM, "mm", todo="give half of the circle's diameter in mm"),
            needed=SAY,
        ),
        Key(
            "amount_mm",
            "How much",
            "at the centre, running out to nothing at the edge",
            Number(0.0, 20.0, "mm", above=True, todo="the action says whether wood is taken or left"),
            needed=SAY,
        ),
        Key("side", "Where", "the sitter's; both is mirrored", WordKind(SIDES), default="both"),
        Key("why", "Why", "what the sitter said", Text(300, todo="shorten it", may_be_empty=True)),
        Key("tag", "For", "for comfort, or for the look of it", WordKind(TAGS)),
        Key("locked", "Locked", "true keeps it from being taken back", Flag()),
    ),
)
ADJUSTMENTS = KeyRows(ADJUSTMENT, most=100, todo="start from a copied seat")
