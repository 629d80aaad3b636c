"""The kept lines of a plan laid on two sheets, the plan itself and its gutter rolled out; and both joined again."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise

import numpy as np
import shapely

from seatmesh.arrays import Bools, Floats, Ints
from seatmesh.solids.plan.chains import Chains, chains_of
from seatmesh.solids.plan.gutter_sheet import GutterSheet
from seatmesh.solids.plan.kept_lines import vertices_along
from seatmesh.solids.plan.refine import Filled
from seatmesh.solids.plan.triangulate import plan_area

BESIDE_MM = 1e-3
"""How far beside a line it is asked on which sheet that side of it lies."""

ON_LIP_MM = 0.05
OFF_SHEET_MM = 0.05
"""How far chords of a line may lie off it on the sheet, where the sheet bends it."""

BETWEEN_MM = 1.5
"""A place between the lips has one of those that are looked at this near."""

OFF_LIP_MM = 1e-3
"""How far lines that cross the gutter keep off its lips on the sheet, but for their ends."""

COVERED_SHARE = 1e-6
LONG_MM = 1.0
_FINE = 0.5 * (1.0 - np.cos(np.pi * np.arange(33) / 32.0))
"""Where a longer piece of a line is followed on the sheet, which bends it most at the lips."""

Line = tuple[Floats, Ints]


@dataclass(frozen=True)
class TwoSheets:
    """Chains on both sheets.

    Attributes
    ----------
    chains
        Those on the plan first.
    region
        What is to be filled on both sheets.
    gutter
        The part of the plan that lies on the gutter's sheet.
    course
        Shape (c, 2): the plan of `chains.course`.
    """

    sheet: GutterSheet
    chains: Chains
    region: shapely.Geometry
    gutter: shapely.Geometry
    course: Floats

    def joined(self, filled: Filled) -> Joined:
        """Return the triangles of both sheets in the plan, joined along the lines that they share."""
        on_sheet = self.sheet.holds(filled.points)
        plan, ahead = filled.points.copy(), np.full(len(filled.points), np.nan)
        plan[on_sheet] = self.sheet.plan(filled.points[on_sheet])
        ahead[on_sheet] = self.sheet.ahead_mm(filled.points[on_sheet])
        ends, at = filled.edges.ravel(), filled.at.ravel()
        own = on_sheet[ends]
        plan[ends[own]] = np.column_stack([
            np.interp(at[own], self.chains.course_at, self.course[:, i]) for i in (0, 1)
        ])  # fmt: skip
        same = np.arange(len(plan))
        shared = np.flatnonzero((filled.twin >= 0) & on_sheet[filled.edges[:, 0]])
        same[filled.edges[shared]] = filled.edges[filled.twin[shared]]
        used, number = np.unique(same, return_inverse=True)
        return Joined(
            plan[used], ahead[used], number[filled.faces], number[filled.edges], on_sheet[filled.faces[:, 0]]
        )


@dataclass(frozen=True)
class Joined:
    """A filled plan.

    Attributes
    ----------
    points, ahead
        Shapes (n, 2) and (n,): how far ahead of the deck line points inside the gutter lie, else not a number.
    faces, edges
        Shapes (m, 3) and (k, 2): triangles, and edges along chains.
    in_gutter
        Shape (m,).
    """

    points: Floats
    ahead: Floats
    faces: Ints
    edges: Ints
    in_gutter: Bools

    def covers(self, region: shapely.Polygon) -> bool:
        """Tell whether the triangles cover each place of a region once."""
        area = plan_area(self.points, self.faces)
        return bool(area.min() > 0.0 and abs(area.sum() - region.area) < COVERED_SHARE * region.area)


def two_sheets(
    lines: Sequence[Line],
    ring: Floats,
    sheet: GutterSheet,
    places: Floats,
    seen: Bools,
    spacing_mm: float,
) -> TwoSheets | None:
    """Return kept lines on two sheets, None where no part of the plan is gutter.

    Parameters
    ----------
    lines
        As `seatmesh.solids.plan.kept_lines.kept_lines` returns them for the half ring `ring`.
    places, seen
        Shapes (p, 2) and (p,): places between the gutter's lips, close together, and whether the gutter is seen there.
        What lines enclose goes onto the sheet if most of its places are such.
    """
    pieces = [shapely.LineString(part) for line in lines for part in _parts(*line)]
    rooms = shapely.get_parts(shapely.polygonize(pieces))
    if len(rooms) == 0:
        return None
    gutter = shapely.union_all([room for room in rooms if _is_gutter(room, places, seen)])
    if gutter.is_empty:
        return None
    whole = shapely.Polygon(ring)
    for one in (gutter, whole):
        shapely.prepare(one)
    plain: list[Line] = []
    rolled: list[tuple[Line, int | None]] = []
    for line in lines:
        for part, here, there in _runs(line, gutter, whole):
            if here:
                plain.append(part)
            if there:
                rolled.append((part, len(plain) - 1 if here else None))
    return _laid(plain, rolled, sheet, shapely.difference(whole, gutter), gutter, spacing_mm)


def _is_gutter(room: shapely.Polygon, places: Floats, seen: Bools) -> bool:
    x, y = shapely.get_coordinates(shapely.point_on_surface(room))[0]
    if np.min(np.hypot(*(places - (x, y)).T), initial=np.inf) > BETWEEN_MM:
        return False
    own = shapely.contains_xy(room, *places.T)
    return bool(np.count_nonzero(own & seen) > 0.5 * np.count_nonzero(own))


def _parts(points: Floats, kept: Ints) -> Iterator[Floats]:
    for a, b in pairwise(kept.tolist()):
        yield points[a : b + 1]


def _runs(line: Line, gutter: shapely.Geometry, whole: shapely.Polygon) -> Iterator[tuple[Line, bool, bool]]:
    """Yield the runs of a line between vertices, and whether they lie on the plan, and on the gutter's sheet."""
    points, kept = line
    middle = (kept[:-1] + kept[1:] - 1) // 2
    start, end = points[middle], points[middle + 1]
    way = end - start
    aside = np.column_stack([-way[:, 1], way[:, 0]]) * (BESIDE_MM / np.linalg.norm(way, axis=1))[:, None]
    at = [0.5 * (start + end) + sign * aside for sign in (1.0, -1.0)]
    there = [shapely.contains_xy(gutter, *one.T) for one in at]
    here = [shapely.contains_xy(whole, *one.T) & ~own for one, own in zip(at, there, strict=True)]
    on = list(zip((here[0] | here[1]).tolist(), (there[0] | there[1]).tolist(), strict=True))
    first = 0
    for (plan, rolled), group in groupby(on):
        last = first + len(list(group))
        begun = kept[first]
        yield (points[begun : kept[last] + 1], kept[first : last + 1] - begun), plan, rolled
        first = last


def _laid(
    plain: list[Line],
    rolled: list[tuple[Line, int | None]],
    sheet: GutterSheet,
    rest: shapely.Geometry,
    gutter: shapely.Geometry,
    spacing_mm: float,
) -> TwoSheets:
    known: dict[tuple[float, ...], Floats] = {}
    lines, courses, twins, lengths = list(plain), [points for points, _ in plain], {}, {}
    own = [(part, twin, _on_lip(part[0], sheet)) for part, twin in rolled]
    # Lips first: what ends on them ends in their points, to the bit.
    for part, twin, lip in sorted(own, key=lambda one: one[2] is None):
        at, laid, kept = _rolled(part, sheet, lip)
        for i, key in enumerate(map(tuple, at.tolist())):
            laid[i] = known.setdefault(key, laid[i].copy())
        if twin is not None:
            twins[len(lines)] = twin
            lengths[len(lines)] = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(at, axis=0), axis=1)))
        elif lip is None:
            kept = np.union1d(kept, vertices_along(laid, OFF_SHEET_MM))
        lines.append((laid, kept))
        courses.append(at)
    chains = chains_of(lines, spacing_mm, twins=twins, lengths=lengths)
    parts = [shapely.LineString(part) for line in lines[len(plain) :] for part in _parts(*line)]
    rooms = shapely.get_parts(shapely.polygonize(parts))
    at_plan = sheet.plan(shapely.get_coordinates(shapely.point_on_surface(rooms)))
    region = shapely.union_all([rest, *rooms[shapely.contains_xy(gutter, *at_plan.T)]])
    return TwoSheets(sheet, chains, region, gutter, np.vstack(courses))


def _rolled(part: Line, sheet: GutterSheet, lip: float | None) -> tuple[Floats, Floats, Ints]:
    """Return points of a line in the plan and on the sheet, and the numbers of its vertices among them."""
    at, kept = part
    if lip is not None:
        laid = sheet.rolled_out(at)
        laid[:, 1] = lip
        return at, laid, kept
    at, kept = _followed(at, kept)
    laid = sheet.rolled_out(at)
    # Rounding, or a lip's chord, may lay places beside the end on the lip itself.
    clear = np.abs(laid[:, 1:] - sheet.across[[0, -1]]).min(axis=1) > OFF_LIP_MM
    clear[kept] = True
    laid[:, 1] = np.clip(laid[:, 1], sheet.across[0] + OFF_LIP_MM, sheet.across[-1] - OFF_LIP_MM)
    return at[clear], laid[clear], (np.cumsum(clear) - 1)[kept]


def _on_lip(points: Floats, sheet: GutterSheet) -> float | None:
    """Return where across the sheet the lip lies along which a line runs; None where it runs along none."""
    ahead = sheet.ahead_mm(sheet.rolled_out(points))
    if np.all(ahead < ON_LIP_MM):
        return float(sheet.across[0])
    if np.all(ahead > sheet.ahead[-1] - ON_LIP_MM):
        return float(sheet.across[-1])
    return None


def _followed(points: Floats, kept: Ints) -> Line:
    """Return a line with more points where its segments are long, and the numbers that its vertices have now."""
    way = np.diff(points, axis=0)
    long = np.linalg.norm(way, axis=1) > LONG_MM
    share = [_FINE[:-1] if one else _FINE[:1] for one in long]
    out = [point + part[:, None] * step for point, part, step in zip(points, share, way, strict=False)]
    number = np.append(0, np.cumsum([len(part) for part in share]))
    return np.vstack([*out, points[-1:]]), number[kept]
