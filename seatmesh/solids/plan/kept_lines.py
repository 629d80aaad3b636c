"""All lines that the plan of the right half keeps: ring, centre line, feature lines, edges of the hollow.

Edges of the hollow come last and give way: within `CLEAR_MM` of another line they are left out, unless they cross it
there or end on it at more than some 20 degrees. Refinement cares for what is left out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
import shapely
from scipy.spatial import cKDTree
from shapely.ops import substring

from seatmesh.arrays import Floats, Ints

CLEAR_MM = 0.4
RUN_SHARE = 3.0
"""How far a line is followed to the one that it ends on, in `CLEAR_MM`; it sets the least angle between the two."""

SNAP_MM = 0.15
"""An edge of the hollow that ends this near to a vertex of another line ends in that vertex."""

LEAST_LENGTH_MM = 3.0
PART_MM = 40.0
"""A traced line is laid in parts no longer than this."""

NEAR_ITSELF_MM = 1.5
"""Points of a traced line, a millimetre or so apart, that are nearer than this but far along it lie side by side."""

SHARP_RAD = np.radians(40.0)
"""Between segments of a traced line two apart, some 2 mm: a line that turns by more is cut there."""


@dataclass
class _Line:
    """A line in the making: its points, which of them become vertices, and points to be set into it."""

    points: Floats
    kept: Ints
    added: list[tuple[float, Floats]] = field(default_factory=list)

    def vertices(self) -> Floats:
        return np.vstack([self.points[self.kept], *(at[None] for _, at in self.added)])

    def done(self) -> tuple[Floats, Ints]:
        """Return points and numbers of vertices with what was added set in."""
        along = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(self.points, axis=0), axis=1)))
        added = sorted(self.added, key=lambda one: one[0])
        order = np.argsort(np.concatenate([along, [s for s, _ in added]]), kind="stable")
        points = np.vstack([self.points, *(at[None] for _, at in added)])[order]
        flags = np.zeros(len(order), dtype=bool)
        flags[self.kept] = True
        flags[len(along) :] = True
        return points, np.flatnonzero(flags[order])


def kept_lines(
    ring: Floats,
    lines: Sequence[Floats],
    edges: Iterable[Floats],
    carved: Callable[[Floats], bool],
    off_mm: float,
) -> list[tuple[Floats, Ints]]:
    """Return lines and their vertices, as `seatmesh.solids.plan.chains.chains_of` takes them.

    Parameters
    ----------
    ring, lines
        As `seatmesh.solids.plan.plan_mesh.half_ring` returns them.
    edges
        Lines along which the hollow begins, as they were traced, in and beyond the ring.
    carved
        Tells whether a place, shape (2,), lies where an edge of the hollow counts.
    off_mm
        How far chords between vertices of a curved line may lie off it.
    """
    made = [_Line(ring, np.arange(len(ring))), _centre_line(ring, lines)]
    made += [_Line(line, vertices_along(line, off_mm)) for line in lines]
    region = shapely.Polygon(ring)
    for edge in (part for whole_edge in edges for part in _parts(whole_edge)):
        hosts = [shapely.LineString(one.points) for one in made]
        whole = shapely.union_all(hosts)
        line = shapely.LineString(_opened(edge, whole))
        for piece in _clear(line, whole, region):
            laid = _laid(piece, line, made[: len(hosts)], hosts, carved, off_mm)
            made += [laid] if laid else []
    return [one.done() for one in made]


def _centre_line(ring: Floats, lines: Sequence[Floats]) -> _Line:
    """Return the line that closes the ring, with a vertex wherever a line ends on it."""
    ends = [line[i] for line in lines for i in (0, -1) if line[i, 0] == 0.0]
    between = {float(end[1]) for end in ends} - {float(ring[0, 1]), float(ring[-1, 1])}
    stops = [float(ring[-1, 1]), *sorted(between, reverse=True), float(ring[0, 1])]
    return _Line(np.column_stack([np.zeros(len(stops)), stops]), np.arange(len(stops)))


def vertices_along(line: Floats, off_mm: float) -> Ints:
    """Return the numbers of points between which a line is straight to within `off_mm`."""
    forced = [0, len(line) - 1]
    if np.array_equal(line[0], line[-1]):
        forced = [0, len(line) // 3, 2 * len(line) // 3, len(line) - 1]
    found = {forced[-1]}
    for a, b in pairwise(forced):
        part = line[a : b + 1]
        number = {tuple(at): a + i for i, at in enumerate(part[:-1].tolist())}
        simple = shapely.get_coordinates(shapely.simplify(shapely.LineString(part), off_mm))
        found |= {number[key] for key in map(tuple, simple.tolist()) if key in number}
    return np.array(sorted(found))


def _parts(edge: Floats) -> list[Floats]:
    """Return a traced line whole, or where it comes near to itself in parts that follow one another.

    These turn nowhere sharply and are laid one after the other, so that the line gives way to itself.
    """
    along = np.diff(edge, axis=0)
    length = np.linalg.norm(along, axis=1)
    stand = np.append(0.0, np.cumsum(length))
    one, other = cKDTree(edge).query_pairs(NEAR_ITSELF_MM, output_type="ndarray").T
    apart = np.abs(stand[one] - stand[other])
    if not np.any(np.minimum(apart, stand[-1] - apart) > 4.0 * NEAR_ITSELF_MM):
        return [edge]
    way = np.arctan2(along[:, 1], along[:, 0])
    turn = np.abs((way[2:] - way[:-2] + np.pi) % (2.0 * np.pi) - np.pi)
    corner = np.append(np.append(False, turn > SHARP_RAD), [False, False])
    cuts, since = [0], 0.0
    for i in range(1, len(edge) - 1):
        since += float(length[i - 1])
        if since > PART_MM or (corner[i] and since > LEAST_LENGTH_MM):
            cuts.append(i)
            since = 0.0
    cuts.append(len(edge) - 1)
    return [edge[a : b + 1] for a, b in pairwise(cuts)]


def _clear(
    line: shapely.LineString, whole: shapely.Geometry, region: shapely.Polygon
) -> Iterable[shapely.LineString]:
    """Return the pieces of a traced line inside a region that are clear of all other lines."""
    near = shapely.buffer(whole, CLEAR_MM, quad_segs=4)
    pieces = shapely.line_merge(shapely.difference(shapely.intersection(line, region), near))
    return [one for one in shapely.get_parts(pieces) if one.length > LEAST_LENGTH_MM]


def _opened(edge: Floats, whole: shapely.Geometry) -> Floats:
    """Return a closed line so turned that it begins where it is nearest to others; an open one as it is."""
    if not np.array_equal(edge[0], edge[-1]):
        return edge
    start = int(np.argmin(shapely.distance(shapely.points(edge[:-1]), whole)))
    turned = np.roll(edge[:-1], -start, axis=0)
    return np.vstack([turned, turned[:1]])


def _laid(
    piece: shapely.LineString,
    line: shapely.LineString,
    made: Sequence[_Line],
    hosts: Sequence[shapely.LineString],
    carved: Callable[[Floats], bool],
    off_mm: float,
) -> _Line | None:
    """Return a piece of a traced line, its ends carried on to the lines that it meets; None where it does not count."""
    points = shapely.get_coordinates(piece)
    if not carved(shapely.get_coordinates(piece.interpolate(0.5, normalized=True))[0]):
        return None
    if np.array_equal(points[0], points[-1]):
        return _Line(points, vertices_along(points, off_mm))
    for end in (0, -1):
        met = _met(line, points, end, made, hosts)
        if met is not None:
            points = np.vstack([met, points]) if end == 0 else np.vstack([points, met])
    if np.array_equal(points[0], points[-1]):
        return None
    return _Line(points, vertices_along(points, off_mm))


def _met(
    line: shapely.LineString,
    points: Floats,
    end: int,
    made: Sequence[_Line],
    hosts: Sequence[shapely.LineString],
) -> Floats | None:
    """Return the way from an end of a piece to a line that it meets, which gets a vertex there; None without one."""
    at = line.project(shapely.Point(points[end]))
    inward = line.project(shapely.Point(points[1 if end == 0 else -2]))
    step = RUN_SHARE * CLEAR_MM * (1.0 if at > inward else -1.0)
    run = substring(line, at, min(max(at + step, 0.0), line.length))
    if run.geom_type != "LineString" or run.length <= 0.0:
        return None
    places = [shapely.get_coordinates(shapely.intersection(run, host)) for host in hosts]
    far = [min((run.project(shapely.Point(one)) for one in own), default=np.inf) for own in places]
    host = int(np.argmin(far))
    if not np.isfinite(far[host]):
        return None
    own = places[host]
    crossing = own[np.argmin([run.project(shapely.Point(one)) for one in own])]
    crossing = _vertex_on(made[host], crossing, hosts[host])
    way = shapely.get_coordinates(run)[1:-1]
    way = (
        way[[run.project(shapely.Point(one)) < far[host] - 0.25 * CLEAR_MM for one in way]]
        if len(way)
        else way
    )
    out = np.vstack([way, crossing])
    return out[::-1] if end == 0 else out


def _vertex_on(host: _Line, at: Floats, line: shapely.LineString) -> Floats:
    """Return the vertex of a line at a place: one that it has close by, or a new one."""
    own = host.vertices()
    near = np.linalg.norm(own - at, axis=1)
    if near.min() <= SNAP_MM:
        return np.asarray(own[np.argmin(near)])
    if np.all(host.points[:, 0] == 0.0):
        at = np.array([0.0, at[1]])
    host.added.append((float(line.project(shapely.Point(at))), at))
    return at
