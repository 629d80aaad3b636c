"""What differs between a proven seat and its repeat on another blank: wood, chair, joints, hollow, depth holes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import fields
from math import hypot

import numpy as np
import shapely

from seatmesh.place_words import place
from seatmesh.sheets.holes.depth_hole import DepthHole, DepthHoles
from seatmesh.sheets.sheet_wishes import Speech
from seatmesh.surface import Seat
from seatmesh.wood.blank import Blank
from seatmesh.wood.joint import Joint

NOTHING = (
    "The blank is the proven seat's, joints and all: nothing differs. Is yours another, name it by --blank."
)
ALIKE = "This blank is like the proven seat's, joints and all: nothing differs."
LENGTHS = {
    "width_mm": "width", "depth_mm": "depth, front to rear", "thickness_mm": "thickness", "floor_mm": "least floor",
    "deck_mm": "deck", "corner_radius_mm": "corner radius", "round_over_mm": "round-over",
    "under_bevel_width_mm": "under-bevel, in from the outline", "under_bevel_height_mm": "under-bevel, up the edge",
    "glue_joint_depth_mm": "middle of the glue joint below the top face",
    "glue_joint_thickness_mm": "glue joint thickness",
    "deck_bow_mm": "bow of the deck line", "deck_reach_mm": "reach of the deck", "gutter_width_mm": "gutter width",
    "gutter_depth_mm": "gutter depth",
}  # fmt: skip
OTHERS = {
    "outline": "outline",
    "boards": "boards",
    "glue_joint": "glue joint",
    "deck_line": "deck line",
}
SHAPES = {"own_outline_mm": "the maker's own outline", "glue_lines_mm": "places of the glue lines"}
"""Fields of a blank by how they are told; joints are told apart."""
JOINT_LENGTHS = {
    "diameter_mm": "diameter", "depth_mm": "depth", "keep_mm": "wood kept", "around_mm": "wood kept around",
    "length_mm": "length", "width_mm": "width",
}  # fmt: skip
JOINT_ANGLES = {"angle_deg": "lean", "sight_line_deg": "sight line", "turn_deg": "turn"}
SAME_MM = 0.05
MOST_NAMED = 6
GRID_MM = 4.0


def differences(before: Seat, after: Seat, says: Speech) -> tuple[str, ...]:
    """Return what differs between two seats, a sentence each; nothing where nothing does."""
    return (
        *_blank(before.blank, after.blank, says),
        *_chair(before, after, says),
        *_joints(before.blank.joints, after.blank.joints, says),
        *_hollow(before, after, says),
    )


def _was(name: str, old: str, new: str) -> str:
    return f"{name[0].upper()}{name[1:]}: {new}, was {old}."


def _blank(old: Blank, new: Blank, says: Speech) -> list[str]:
    out = []
    for one in fields(Blank):
        was, now = getattr(old, one.name), getattr(new, one.name)
        if was == now or one.name == "joints":
            continue
        if one.name in LENGTHS:
            out.append(_was(LENGTHS[one.name], _length(was, says), _length(now, says)))
        elif one.name in OTHERS:
            out.append(_was(OTHERS[one.name], str(was), str(now)))
        else:
            out.append(f"{SHAPES[one.name][0].upper()}{SHAPES[one.name][1:]}: not the same.")
    return out


def _length(mm: float | None, says: Speech) -> str:
    return "none stated" if mm is None else says.length(mm)


def _chair(before: Seat, after: Seat, says: Speech) -> list[str]:
    old, new = before.chair, after.chair
    out = []
    if old.front_height_mm != new.front_height_mm:
        out.append(
            _was("front height", _length(old.front_height_mm, says), _length(new.front_height_mm, says))
        )
    if old.rake_deg != new.rake_deg:
        out.append(_was("rake", f"{old.rake_deg:g} degrees", f"{new.rake_deg:g} degrees"))
    if old.shoe_mm != new.shoe_mm:
        out.append(_was("shoes", says.length(old.shoe_mm), says.length(new.shoe_mm)))
    return out


def _joints(old: Sequence[Joint], new: Sequence[Joint], says: Speech) -> list[str]:
    """Return what differs between joints: each is compared with the nearest of its kind and sides."""
    left, out = list(old), []
    for now in new:
        alike = [one for one in left if (one.kind, one.side) == (now.kind, now.side)]
        if not alike:
            out.append(f"New: {_called(now, says)}.")
            continue
        was = now if now in alike else min(alike, key=lambda one: _apart(one, now))
        left.remove(was)
        changes = _changes(was, now, says)
        if changes:
            out.append(f"{_called(now, says)}: {'; '.join(changes)}.")
    return [*out, *(f"Left out: {_called(one, says)}." for one in left)]


def _apart(one: Joint, other: Joint) -> float:
    return hypot(one.at_mm[0] - other.at_mm[0], one.at_mm[1] - other.at_mm[1])


def _called(joint: Joint, says: Speech) -> str:
    return f"{joint.kind} {_at(joint, says)}"


def _at(joint: Joint, says: Speech) -> str:
    return place(*joint.at_mm, says.units, joint.side, step=says.inch_step)


def _changes(was: Joint, now: Joint, says: Speech) -> list[str]:
    out = [f"moved from {_at(was, says)}"] if _apart(was, now) > SAME_MM else []
    for name, words in JOINT_LENGTHS.items():
        old, new = getattr(was, name), getattr(now, name)
        if old != new:
            out.append(f"{words} {_size(name, new, says)}, was {_size(name, old, says)}")
    for name, words in JOINT_ANGLES.items():
        old, new = getattr(was, name), getattr(now, name)
        if old != new:
            said = ("usual" if one is None else f"{one:g} degrees" for one in (new, old))
            out.append("{} {}, was {}".format(words, *said))
    if was.points_mm != now.points_mm:
        out.append("its corners are not the same")
    return out


def _size(name: str, mm: float | None, says: Speech) -> str:
    if mm is None:
        return "through" if name == "depth_mm" else "the floor"
    return says.depth(mm) if name == "depth_mm" else says.length(mm)


def _hollow(before: Seat, after: Seat, says: Speech) -> list[str]:
    """Return where the carved surface itself differs, the front roll, which goes with the front edge, apart."""
    x, y = (one.ravel() for one in np.broadcast_arrays(*after.blank.grid_mm(GRID_MM)))
    both = [shapely.Polygon(one.blank.polygon_mm()) for one in (before, after)]
    inside = shapely.intersects_xy(shapely.intersection(*both), x, y)
    seen = inside & (y < min(before.roll_start_mm, after.roll_start_mm))
    out = []
    if seen.any():
        deeper = after.depth_mm(x[seen], y[seen]) - before.depth_mm(x[seen], y[seen])
        for sign, word in ((1.0, "deeper"), (-1.0, "shallower")):
            most = int(np.argmax(sign * deeper))
            if sign * deeper[most] > SAME_MM:
                at = place(float(x[seen][most]), float(y[seen][most]), says.units, step=says.inch_step)
                out.append(f"The hollow is {word} by up to {says.length(abs(float(deeper[most])))}, {at}.")
    if before.blank.depth_mm != after.blank.depth_mm and after.front_roll_mm > 0.0:
        moved = after.blank.depth_mm - before.blank.depth_mm
        way = "farther forward" if moved > 0.0 else "farther back"
        out.append(f"The front roll lies {says.length(abs(moved))} {way}, with the front edge.")
    return [*out, *_edge(before, after, says)]


def _edge(before: Seat, after: Seat, says: Speech) -> list[str]:
    """Return by how much deeper the hollow meets the edge of the new outline than that of the old one."""
    old, new = _at_edge(before), _at_edge(after)
    if new[0] <= old[0] + 0.5:
        return []
    at = place(new[1], new[2], says.units, step=says.inch_step)
    return [
        f"The hollow runs out over the edge, {says.length(new[0])} deep, {at}; it was {says.length(old[0])}."
    ]


def _at_edge(seat: Seat) -> tuple[float, float, float]:
    ring = shapely.LinearRing(seat.blank.polygon_mm())
    at = shapely.get_coordinates(ring.interpolate(np.arange(0.0, ring.length, GRID_MM)))
    x, y = at[at[:, 1] < seat.roll_start_mm].T
    depth = seat.depth_mm(x, y)
    most = int(np.argmax(depth))
    return float(depth[most]), float(x[most]), float(y[most])


def hole_differences(before: DepthHoles, after: DepthHoles, says: Speech) -> tuple[str, ...]:
    """Return which depth holes of a repeat have another stop, and which are new or left out."""
    old = {_key(one): one for one in before.holes}
    new = {_key(one): one for one in after.holes}
    other = [
        (new[at], old[at])
        for at in new
        if at in old and says.depth(new[at].stop_mm) != says.depth(old[at].stop_mm)
    ]
    out = [
        _few(
            "Depth holes with another stop",
            other,
            lambda pair: f"{pair[0].number} {says.depth(pair[0].stop_mm)}, was {says.depth(pair[1].stop_mm)}",
        ),
        _few(
            "New depth holes", [one for at, one in new.items() if at not in old], lambda one: str(one.number)
        ),
        _few(
            "Depth holes left out",
            [one for at, one in old.items() if at not in new],
            lambda one: place(one.x_mm, one.y_mm, says.units, step=says.inch_step),
        ),
    ]
    return tuple(one for one in out if one)


def _key(one: DepthHole) -> tuple[float, float]:
    return round(one.x_mm, 1), round(one.y_mm, 1)


def _few(name: str, found: Sequence[object], words: Callable[..., str]) -> str:
    if not found:
        return ""
    told = "; ".join(words(one) for one in found[:MOST_NAMED])
    more = f"; and {len(found) - MOST_NAMED} more" if len(found) > MOST_NAMED else ""
    return f"{name}: {told}{more}."
