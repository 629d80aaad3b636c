"""The wood of an order: the tables [blank] and [[joint]], read into a blank."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from seatmesh.design.orders.order_keys import BLANK, JOINT, Key, one_of, read_numbers, table_of
from seatmesh.errors import FileRefusedError, MissingKeyError, ValueRefusedError
from seatmesh.files.toml_file import refuse_unknown
from seatmesh.units import parse_length_mm, shown
from seatmesh.wood.blank import GLUE_JOINTS, OUTLINES, Blank
from seatmesh.wood.deck import DECK_LINES
from seatmesh.wood.joint import KINDS, Joint
from seatmesh.wood.outline.from_drawing import outline_from_file
from seatmesh.wood.outline.from_points import FEWEST_POINTS, MOST_POINTS, Pairs, smooth_outline
from seatmesh.wood.outline.shapes import TAPERED_CORNER_SHARE, greatest_corner_radius_mm

MOST_JOINTS = 60
MOST_BOARDS = 12
WORDS: Mapping[str, tuple[str, ...]] = {
    "outline": tuple(OUTLINES),
    "deck_line": DECK_LINES,
    "glue_joint": GLUE_JOINTS,
}
OUTLINE_UNITS = ("mm", "in")
OTHER_BLANK_KEYS = ("outline_points_mm", "outline_file", "outline_units", "boards", "glue_lines_mm")
JOINT_WORDS: Mapping[str, tuple[str, ...]] = {"kind": KINDS, "side": ("one", "both")}
SHARE_WORDS = ("half", f"{TAPERED_CORNER_SHARE:g}")
SIZES = ("width_mm", "depth_mm")


def read_blank(order: Mapping[str, Any], where: str, folder: Path | None) -> Blank:
    """Return the blank of an order; `folder` is where an outline file may lie, None allows none.

    Raises
    ------
    UnknownKeyError, MissingKeyError, ValueRefusedError, FileRefusedError
        With what was given, what is allowed and what to do.
    """
    known = {**BLANK, **WORDS, **dict.fromkeys(OTHER_BLANK_KEYS)}
    inner = table_of(order, "blank", known, where)
    values: dict[str, Any] = dict(read_numbers(inner, BLANK, "[blank]"))
    values |= {
        key: one_of(f"[blank] {key}", inner[key], words) for key, words in WORDS.items() if key in inner
    }
    if "boards" in inner:
        values["boards"] = _whole("[blank] boards", inner["boards"], MOST_BOARDS)
    if "glue_lines_mm" in inner:
        values["glue_lines_mm"] = _lengths("[blank] glue_lines_mm", inner["glue_lines_mm"])
    if values.get("deck_bow_mm") and "deck_line" not in values:
        values["deck_line"] = "bowed"
    values |= _own_outline(inner, values, folder)
    blank = Blank(**values, joints=_joints(order, where))
    if "corner_radius_mm" not in values:
        # The usual corner of a small blank is no rounder than the blank allows.
        fitting = min(blank.corner_radius_mm, 0.25 * min(blank.width_mm, blank.depth_mm))
        blank = replace(blank, corner_radius_mm=fitting)
    return blank


def check_corner(blank: Blank) -> None:
    """Refuse a corner radius that the outline has no room for."""
    most = greatest_corner_radius_mm(blank.outline, blank.width_mm, blank.depth_mm)
    if blank.corner_radius_mm > most and not blank.own_outline_mm:
        raise ValueRefusedError(
            "[blank] corner_radius_mm",
            f"{blank.corner_radius_mm:g}",
            f"at most {SHARE_WORDS['taper' in blank.outline]} of the lesser of {blank.width_mm:g} and "
            f"{blank.depth_mm:g} mm",
            f"give {most:g} or less",
        )


def _own_outline(inner: Mapping[str, Any], values: Mapping[str, Any], folder: Path | None) -> dict[str, Any]:
    """Return the fields that a maker's own outline decides, none without one."""
    given = [key for key in ("outline_points_mm", "outline_file", "outline") if key in inner]
    own = [key for key in given if key != "outline"]
    if "outline_units" in inner and "outline_file" not in inner:
        raise ValueRefusedError(
            "[blank] outline_units",
            shown(inner["outline_units"]),
            "it is the unit of an outline_file, and none is given",
            "leave it out, or name the drawing",
        )
    if not own:
        return {}
    if len(given) > 1:
        raise ValueRefusedError(
            f"[blank] {given[0]}", f"and {given[1]}", "one of them", "leave out the one that is not meant"
        )
    name = f"[blank] {own[0]}"
    half = _outline_of(own[0], name, inner, folder)
    size = {"width_mm": 2.0 * max(x for x, _ in half), "depth_mm": max(y for _, y in half)}
    for key in SIZES:
        if key in values and abs(values[key] - size[key]) > 1.0:
            raise ValueRefusedError(
                f"[blank] {key}",
                f"{values[key]:g}",
                f"{name} is {size[key]:.1f} mm there",
                f"leave {key} out, or draw the outline to it",
            )
    return {**size, "own_outline_mm": half}


def _outline_of(key: str, name: str, inner: Mapping[str, Any], folder: Path | None) -> Pairs:
    if key == "outline_points_mm":
        return smooth_outline(_pairs(name, inner[key]), name)
    given = inner[key]
    if not isinstance(given, str) or not given:
        raise ValueRefusedError(name, shown(given), "a file of a drawing", "name a .dxf or .svg file")
    if folder is None:
        raise FileRefusedError(f"{name} = {shown(given)}: no files are read here; give outline_points_mm.")
    units = inner.get("outline_units")
    if units is not None:
        units = one_of("[blank] outline_units", units, OUTLINE_UNITS)
    return outline_from_file(folder / given, units, name)


def _joints(order: Mapping[str, Any], where: str) -> tuple[Joint, ...]:
    entries = order.get("joint", [])
    if not isinstance(entries, list) or not all(isinstance(one, Mapping) for one in entries):
        raise ValueRefusedError(
            "joint", shown(entries), "allowed is a list of tables", "write [[joint]] for each"
        )
    if len(entries) > MOST_JOINTS:
        raise ValueRefusedError(
            "joint", f"{len(entries)} of them", f"at most {MOST_JOINTS}", "leave some out"
        )
    return tuple(_joint(one, f"{where} [[joint]] {number}") for number, one in enumerate(entries, start=1))


def _joint(entry: Mapping[str, Any], label: str) -> Joint:
    refuse_unknown(entry, [*JOINT, *JOINT_WORDS, "points_mm"], label)
    kind = one_of(f"{label} kind", entry.get("kind"), KINDS)
    for key in ("x_mm", "y_mm"):
        if key not in entry and kind != "polygon":
            raise MissingKeyError(key, label, "measure it from the centre line or the rear edge")
    values: dict[str, Any] = dict(read_numbers(entry, JOINT, label))
    if "side" in entry:
        values["side"] = one_of(f"{label} side", entry["side"], JOINT_WORDS["side"])
    if "points_mm" in entry:
        values["points_mm"] = tuple(_pairs(f"{label} points_mm", entry["points_mm"]))
    return Joint(kind=kind, **values)  # type: ignore[arg-type]


def _pairs(name: str, given: object) -> list[tuple[float, float]]:
    if (
        not isinstance(given, Sequence)
        or isinstance(given, str)
        or not FEWEST_POINTS <= len(given) <= MOST_POINTS
        or not all(isinstance(one, list | tuple) and len(one) == 2 for one in given)
    ):
        allowed = f"allowed is a list of {FEWEST_POINTS} to {MOST_POINTS} points [x, y]"
        raise ValueRefusedError(name, shown(given), allowed, "write it like [[0, 0], [200, 15], ...]")
    return [(_length(name, x), _length(name, y)) for x, y in given]


def _lengths(name: str, given: object) -> tuple[float, ...]:
    if not isinstance(given, list) or len(given) > MOST_BOARDS:
        allowed = f"allowed is a list of at most {MOST_BOARDS} lengths"
        raise ValueRefusedError(name, shown(given), allowed, "give x of each glue line, like [-80, 80]")
    return tuple(sorted(_length(name, one) for one in given))


def _length(name: str, given: object) -> float:
    value = parse_length_mm(given, name)
    most = Key(-1000.0, 1000.0)
    if not most.lowest <= value <= most.highest:
        raise ValueRefusedError(name, shown(given), "allowed are -1000 to 1000 mm", "check its unit")
    return value


def _whole(name: str, given: object, most: int) -> int:
    if isinstance(given, bool) or not isinstance(given, int) or not 1 <= given <= most:
        raise ValueRefusedError(
            name, shown(given), f"allowed is a whole number from 1 to {most}", "give 1, 2 or 3"
        )
    return given
