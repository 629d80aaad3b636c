"""The keys of an order: which table has which, what each may be, and how a value is read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from seatmesh.errors import UnknownKeyError, ValueRefusedError
from seatmesh.files.toml_file import refuse_unknown
from seatmesh.units import MM_PER_INCH, parse_length_mm, real_number, shown


@dataclass(frozen=True)
class Key:
    """A number of an order: its plausible range, ends included."""

    lowest: float
    highest: float
    optional: bool = False


BLANK: Mapping[str, Key] = {
    "width_mm": Key(200.0, 900.0),
    "depth_mm": Key(200.0, 700.0),
    "thickness_mm": Key(15.0, 150.0),
    "floor_mm": Key(5.0, 100.0),
    "deck_mm": Key(0.0, 200.0),
    "corner_radius_mm": Key(0.0, 300.0),
    "round_over_mm": Key(0.0, 60.0),
    "under_bevel_width_mm": Key(0.0, 150.0),
    "under_bevel_height_mm": Key(0.0, 100.0),
    "glue_joint_depth_mm": Key(0.0, 150.0),
    "glue_joint_thickness_mm": Key(0.0, 50.0),
    "deck_bow_mm": Key(-100.0, 150.0),
    "deck_reach_mm": Key(0.0, 700.0, optional=True),
    "gutter_width_mm": Key(3.0, 25.0),
    "gutter_depth_mm": Key(0.0, 12.0),
}
JOINT: Mapping[str, Key] = {
    "x_mm": Key(-450.0, 450.0),
    "y_mm": Key(0.0, 700.0),
    "diameter_mm": Key(3.0, 100.0),
    "angle_deg": Key(0.0, 45.0),
    "sight_line_deg": Key(-360.0, 360.0, optional=True),
    "depth_mm": Key(1.0, 150.0, optional=True),
    "keep_mm": Key(0.0, 150.0, optional=True),
    "around_mm": Key(0.0, 100.0),
    "length_mm": Key(1.0, 900.0),
    "width_mm": Key(1.0, 900.0),
    "turn_deg": Key(-360.0, 360.0),
}
CHAIR: Mapping[str, Key] = {
    "front_height_mm": Key(200.0, 900.0, optional=True),
    "rake_deg": Key(-5.0, 15.0),
    "shoe_mm": Key(0.0, 120.0),
}
WISHES: Mapping[str, Key] = {
    "depth_mm": Key(0.0, 60.0),
    "deepest_y_mm": Key(20.0, 600.0, optional=True),
    "pommel_mm": Key(0.0, 40.0),
    "pommel_width_mm": Key(20.0, 300.0, optional=True),
    "pommel_length_mm": Key(20.0, 400.0),
    "pommel_fade_mm": Key(10.0, 400.0, optional=True),
    "front_roll_mm": Key(0.0, 80.0),
    "front_roll_length_mm": Key(0.0, 300.0, optional=True),
    "thigh_splay_deg": Key(-10.0, 45.0, optional=True),
    "closeness": Key(0.0, 1.0),
    "tailbone_relief_mm": Key(0.0, 15.0),
    "rear_rise_mm": Key(0.0, 25.0),
}
TOOL: Mapping[str, Key] = {"radius_mm": Key(5.0, 5000.0), "diameter_mm": Key(10.0, 1000.0)}


def read_numbers(table: Mapping[str, Any], keys: Mapping[str, Key], where: str) -> dict[str, float]:
    """Return the numbers of a table that `keys` knows; the caller has refused unknown keys.

    Raises
    ------
    ValueRefusedError
        A value that is no number, not finite or out of range, with the unit that it looks like.
    """
    return {
        name: _number(table[name], key, f"{where} {name}", name)
        for name, key in keys.items()
        if name in table
    }


def one_of(name: str, given: object, allowed: tuple[str, ...]) -> str:
    """Return a word that is among those allowed.

    Raises
    ------
    UnknownKeyError, ValueRefusedError
        With the nearest word, or all of them.
    """
    if isinstance(given, str) and given in allowed:
        return given
    if isinstance(given, str):
        raise UnknownKeyError(given, allowed, name)
    raise ValueRefusedError(name, shown(given), f"allowed are {', '.join(allowed)}", "choose one of them")


def table_of(
    order: Mapping[str, Any], name: str, known: Mapping[str, object], where: str
) -> Mapping[str, Any]:
    """Return a sub-table of an order, empty where it is absent; unknown keys are refused."""
    inner = order.get(name, {})
    if not isinstance(inner, Mapping):
        raise ValueRefusedError(
            f"{where} {name}", shown(inner), "allowed is a table", f"write [{name}], its keys below"
        )
    refuse_unknown(inner, known, f"{where} [{name}]")
    return inner


def _number(given: object, key: Key, label: str, name: str) -> float:
    unit = name.rpartition("_")[2]
    unit = unit if unit in {"mm", "deg"} else ""
    allowed = f"allowed are {key.lowest:g} to {key.highest:g} {unit}".rstrip()
    value = parse_length_mm(given, label) if unit == "mm" else real_number(label, given, allowed)
    if key.lowest <= value <= key.highest:
        return value
    raise ValueRefusedError(label, shown(given), allowed, _advice(value, key, unit))


def _advice(value: float, key: Key, unit: str) -> str:
    if unit == "mm":
        for name, factor in (("inches", MM_PER_INCH), ("centimetres", 10.0), ("metres", 1000.0)):
            if key.lowest <= value * factor <= key.highest:
                return f"it looks like {name}; give {value * factor:.4g}, or write the unit with it"
    return "give a value in that range"
