"""The wood of an order: what its tables say of it, made into a blank."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from seatmesh.design.orders.keys.blank import GivenBlank
from seatmesh.errors import FileRefusedError, InputError, ValueRefusedError
from seatmesh.refused import Advice, Piece, at, bare, leave_out, mm, of, said
from seatmesh.units import shown
from seatmesh.wood.blank import Blank
from seatmesh.wood.joint import Joint
from seatmesh.wood.outline.from_drawing import outline_from_file
from seatmesh.wood.outline.from_points import BETWEEN, Pairs, smooth_outline, straight_outline

SIZES = ("width_mm", "depth_mm")
USUAL_CORNER_SHARE = 0.25
"""The usual corner of a small blank is no rounder than this share of its lesser side."""


def blank_of(given: GivenBlank, joints: tuple[Joint, ...], folder: Path | None) -> Blank:
    """Return the blank of an order; `folder` is where a drawing of its outline may lie, None allows none.

    Raises
    ------
    ValueRefusedError, FileRefusedError
        The outline is given twice or cannot be read; with what is allowed and what to do.
    """
    fields = dict(given.fields)
    if fields.get("deck_bow_mm") and "deck_line" not in fields:
        fields["deck_line"] = "bowed"
    fields |= _own_outline(given, folder)
    blank = Blank(**fields, joints=joints)
    if "corner_radius_mm" not in fields:
        fitting = min(blank.corner_radius_mm, USUAL_CORNER_SHARE * min(blank.width_mm, blank.depth_mm))
        blank = replace(blank, corner_radius_mm=fitting)
    return blank


def _own_outline(given: GivenBlank, folder: Path | None) -> dict[str, Any]:
    """Return the fields that a maker's own outline decides, none without one."""
    if "outline_units" in given.outline and "outline_file" not in given.outline:
        raise ValueRefusedError(
            at("blank.outline_units"),
            shown(given.outline["outline_units"]),
            "it is the unit of an outline_file, and none is given",
            "leave it out, or name the drawing",
        )
    if "outline_between" in given.outline and "outline_points_mm" not in given.outline:
        raise ValueRefusedError(
            at("blank.outline_between"),
            shown(given.outline["outline_between"]),
            said("it says what joins {}, and none are given", of("blank.outline_points_mm")),
            Advice(
                (leave_out("blank.outline_between"),),
                text="leave it out, or give the points",
                more="give the points",
            ),
        )
    own = [key for key in ("outline_points_mm", "outline_file") if key in given.outline]
    if not own:
        return {}
    twice = [*own, *(["outline"] if "outline" in given.fields else [])]
    if len(twice) > 1:
        raise ValueRefusedError(
            at(f"blank.{twice[0]}"),
            said("and {}", of(f"blank.{twice[1]}")),
            "one of them",
            Advice(
                (leave_out(f"blank.{twice[0]}"), leave_out(f"blank.{twice[1]}")),
                text="leave out the one that is not meant",
            ),
        )
    name = f"[blank] {own[0]}"
    try:
        half = _outline_of(own[0], name, given.outline, folder)
    except InputError as refusal:
        refusal.put(at(f"blank.{own[0]}"))
        raise
    size = {"width_mm": 2.0 * max(x for x, _ in half), "depth_mm": max(y for _, y in half)}
    for key in SIZES:
        if key in given.fields and abs(given.fields[key] - size[key]) > 1.0:
            raise ValueRefusedError(
                at(f"blank.{key}"),
                said("{}", bare(f"blank.{key}", given.fields[key])),
                said("{} is {} there", Piece(at(f"blank.{own[0]}"), text=name), mm(size[key], ".1f")),
                Advice((leave_out(f"blank.{key}"),), more="draw the outline to it"),
            )
    return {**size, "own_outline_mm": half}


def _outline_of(key: str, name: str, outline: Mapping[str, Any], folder: Path | None) -> Pairs:
    if key == "outline_points_mm":
        smooth = outline.get("outline_between", BETWEEN[0]) == BETWEEN[0]
        return (smooth_outline if smooth else straight_outline)(list(outline[key]), name)
    if folder is None:
        raise FileRefusedError(
            f"{name} = {shown(outline[key])}: no files are read here; give outline_points_mm."
        )
    return outline_from_file(folder / outline[key], outline.get("outline_units"), name)
