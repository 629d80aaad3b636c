"""Keys of the tables [[joint]]: mortises, and zones that keep wood."""

from __future__ import annotations

from seatmesh.files.keys.key import Key
from seatmesh.files.keys.lists import Points
from seatmesh.files.keys.number import degrees, millimetres
from seatmesh.files.keys.table import KeyRows, KeyTable, made_of
from seatmesh.files.keys.words import WordKind
from seatmesh.wood.joint import KINDS, MOST_LEAN_DEG, NEEDS, SIDES, Joint
from seatmesh.wood.outline.from_points import FEWEST_POINTS, MOST_POINTS

PLACED = tuple(kind for kind in KINDS if kind != "polygon")
"""A polygon is where its corners are."""
PLACE_IT = "measure it from the centre line or the rear edge"
SIZE_IT = "say how large it is"


def _kinds_with(size: str) -> tuple[str, ...]:
    return tuple(kind for kind, sizes in NEEDS.items() if size in sizes)


JOINT = KeyTable(
    name="joint",
    meaning="a mortise, or a zone that keeps wood; one table for each",
    make=made_of(Joint),
    fields=Joint,
    keys=(
        Key(
            "kind",
            "Kind",
            "leg mortise from below, back post or spindle from above; circle, bar, polygon keep wood under a zone",
            WordKind(KINDS),
            needed=f"give {', '.join(KINDS[:-1])} or {KINDS[-1]}",
        ),
        Key(
            "x_mm",
            "From the centre line",
            "from the centre line, to the sitter's right",
            millimetres(-450.0, 450.0),
            needed=PLACE_IT,
            needed_for=PLACED,
            asked="first",
        ),
        Key(
            "y_mm",
            "From the rear edge",
            "from the rear edge",
            millimetres(0.0, 700.0),
            needed=PLACE_IT,
            needed_for=PLACED,
            asked="first",
        ),
        Key(
            "diameter_mm",
            "Diameter",
            "diameter of a round joint",
            millimetres(3.0, 100.0),
            needed=SIZE_IT,
            needed_for=_kinds_with("diameter_mm"),
            asked="first",
        ),
        Key(
            "angle_deg",
            "Leans",
            "how far the part leans from upright",
            degrees(0.0, MOST_LEAN_DEG),
            asked="first",
        ),
        Key(
            "sight_line_deg",
            "Way it leans",
            "way the part leans in plan: 0 forward, 90 right, 180 rear; left out: from the middle",
            degrees(-360.0, 360.0),
        ),
        Key(
            "depth_mm",
            "Depth",
            "depth of the mortise along its axis, or of the housing from below; left out: through and through",
            millimetres(1.0, 150.0),
            asked="first",
        ),
        Key(
            "keep_mm",
            "Wood over it",
            "wood that must stay between hollow and joint; left out: the blank's floor_mm",
            millimetres(0.0, 150.0),
        ),
        Key(
            "around_mm",
            "Wood beside it",
            "wood that must stay beside the joint",
            millimetres(0.0, 100.0),
        ),
        Key(
            "length_mm",
            "Length",
            "length of a bar",
            millimetres(1.0, 900.0),
            needed=SIZE_IT,
            needed_for=_kinds_with("length_mm"),
        ),
        Key(
            "width_mm",
            "Width",
            "width of a bar",
            millimetres(1.0, 900.0),
            needed=SIZE_IT,
            needed_for=_kinds_with("width_mm"),
        ),
        Key(
            "turn_deg",
            "Turned",
            "how far a bar is turned from across the seat, counter-clockwise from above",
            degrees(-360.0, 360.0),
        ),
        Key(
            "points_mm",
            "Corners",
            "corners of a polygon",
            Points(FEWEST_POINTS, MOST_POINTS),
            needed=SIZE_IT,
            needed_for=_kinds_with("points_mm"),
        ),
        Key("side", "Side", "both has a mirror image at the centre line", WordKind(SIDES)),
    ),
)
JOINTS = KeyRows(JOINT, most=60)
