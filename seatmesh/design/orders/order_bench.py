"""What an order says of the bench: the maker's own tools, and the stages of a first seat."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from seatmesh.design.orders.order_keys import TOOL, one_of, read_numbers
from seatmesh.errors import MissingKeyError, ValueRefusedError
from seatmesh.files.names import is_one_line
from seatmesh.files.toml_file import refuse_unknown
from seatmesh.fit.reach import Tool
from seatmesh.units import real_number, shown

TOOL_KINDS = ("disc", "sole", "scraper")
"""Of a disc the radius counts, of a plane, spokeshave or scraper the curve of its sole or edge."""
MOST_TOOLS = 20
MOST_STAGES = 6
LEAST_SHARE, MOST_SHARE = 0.05, 0.95
"""Of the depth, at a stage: with less there is nothing to sit in, with more the seat is finished."""
LEAST_APART = 0.01
LONGEST_NAME = 60


def read_tools(given: object, where: str) -> tuple[Tool, ...]:
    """Return the tools of `[[tool]]` tables.

    Raises
    ------
    UnknownKeyError, MissingKeyError, ValueRefusedError
        In words, with the number of the table.
    """
    if not isinstance(given, list) or not all(isinstance(one, Mapping) for one in given):
        raise ValueRefusedError(
            f"{where} tool", shown(given), "allowed is a list of tables", "write [[tool]] for each"
        )
    if len(given) > MOST_TOOLS:
        raise ValueRefusedError(
            f"{where} tool", f"{len(given)} of them", f"at most {MOST_TOOLS}", "leave some out"
        )
    return tuple(_tool(one, f"{where} [[tool]] {number}") for number, one in enumerate(given, start=1))


def _tool(table: Mapping[str, Any], where: str) -> Tool:
    refuse_unknown(table, ("name", "kind", *TOOL), where)
    kind = one_of(f"{where} kind", table.get("kind", "sole"), TOOL_KINDS)
    sizes = read_numbers(table, TOOL, where)
    if not sizes:
        raise MissingKeyError("radius_mm", where, "give it, or the diameter_mm of a disc")
    if len(sizes) > 1:
        raise ValueRefusedError(
            f"{where} radius_mm",
            f"{sizes['radius_mm']:g}",
            "diameter_mm is given too",
            "leave one of them out",
        )
    radius = sizes["radius_mm"] if "radius_mm" in sizes else 0.5 * sizes["diameter_mm"]
    return Tool(_name(table.get("name", kind), where), radius)


def _name(given: object, where: str) -> str:
    if isinstance(given, str) and is_one_line(given) and 0 < len(given.strip()) <= LONGEST_NAME:
        return given.strip()
    raise ValueRefusedError(
        f"{where} name", shown(given), f"1 to {LONGEST_NAME} printable characters", "give a short name"
    )


def read_stages(given: object, where: str) -> tuple[float, ...]:
    """Return the shares of the depth given as `stages`, least first; the finished seat is no stage of its own.

    Raises
    ------
    ValueRefusedError
        No list, too many, two alike, or a share out of range.
    """
    label, todo = f"{where} stages", "write stages = [0.5, 0.8]"
    if not isinstance(given, list) or len(given) > MOST_STAGES:
        raise ValueRefusedError(
            label, shown(given), f"allowed is a list of at most {MOST_STAGES} shares", todo
        )
    shares = sorted(real_number(label, one) for one in given)
    for share in shares:
        if not LEAST_SHARE <= share <= MOST_SHARE:
            raise ValueRefusedError(
                label, f"{share:g}", f"each from {LEAST_SHARE} to {MOST_SHARE} of the depth", todo
            )
    # Files are named by whole percent: two stages may not share a name.
    if len({round(share / LEAST_APART) for share in shares}) < len(shares):
        raise ValueRefusedError(label, shown(given), f"each at least {LEAST_APART:.0%} from the next", todo)
    return tuple(shares)
