"""Keys of the tables [[tool]]: the maker's own tools, to be held against the hollow."""

from __future__ import annotations

from seatmesh.errors import MissingKeyError, ValueRefusedError
from seatmesh.files.keys.key import Key
from seatmesh.files.keys.number import millimetres
from seatmesh.files.keys.table import KeyRows, KeyTable, Values
from seatmesh.files.keys.words import Text, WordKind
from seatmesh.fit.reach import Tool
from seatmesh.refused import Advice, bare, leave_out, of, said

KINDS = ("disc", "sole", "scraper")
"""Of a disc the radius counts, of a plane, spokeshave or scraper the curve of its sole or edge."""
LONGEST_NAME = 60


def _tool(values: Values, where: str) -> Tool:
    if "radius_mm" in values and "diameter_mm" in values:
        raise ValueRefusedError(
            f"{where} radius_mm",
            said("{}", bare("tool.radius_mm", values["radius_mm"])),
            said("{} is given too", of("tool.diameter_mm")),
            Advice(
                (leave_out("tool.radius_mm"), leave_out("tool.diameter_mm")), text="leave one of them out"
            ),
        )
    if "radius_mm" not in values and "diameter_mm" not in values:
        raise MissingKeyError("radius_mm", where, "give it, or the diameter_mm of a disc")
    radius = values["radius_mm"] if "radius_mm" in values else 0.5 * values["diameter_mm"]
    return Tool(values.get("name", values["kind"]), radius)


TOOL = KeyTable(
    name="tool",
    meaning="a tool of yours, to be held against the hollow; one table for each",
    make=_tool,
    keys=(
        Key("name", "Name", "what the report calls it", Text(LONGEST_NAME)),
        Key(
            "kind",
            "Kind",
            "disc, plane or spokeshave sole, or scraper",
            WordKind(KINDS),
            default="sole",
        ),
        Key(
            "radius_mm",
            "Radius",
            "curve of its sole or edge; this or diameter_mm is needed",
            millimetres(5.0, 5000.0),
        ),
        Key("diameter_mm", "Diameter", "diameter of a disc", millimetres(10.0, 1000.0)),
    ),
)
TOOLS = KeyRows(TOOL, most=20)
