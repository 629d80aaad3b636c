"""Facets that are lines or points, as cuts leave them, taken out of a closed mesh, whose form hardly changes."""

from __future__ import annotations

import math

import numpy as np

from seatmesh.arrays import Floats, Ints
from seatmesh.mesh import LEAST_FACET_HEIGHT, Mesh

THIN = 4.0 * LEAST_FACET_HEIGHT
"""Facets lower than this share of their longest edge go, so that none is left close to the limit."""

SHORT_MM = 5e-3
"""Longer edges are not drawn together."""

FLAT_MM = 1e-6
"""Facets that part by no more lie in one plane."""

ROUNDS = 400

Corners = tuple[int, int, int]


def without_slivers(mesh: Mesh, flat_share: float = THIN) -> Mesh:
    """Return a closed mesh without facets that are lines or points, as far as they can be taken out.

    Of a facet whose longest edge runs through its third corner that edge is turned to the corner across; one with a
    very short edge loses it. Closed stays closed. On flat parts all facets lower than `flat_share` of their longest
    edge are bettered in the first way, if they can be.
    """
    thin = np.flatnonzero(_heights(mesh.vertices_mm, mesh.faces) <= flat_share).tolist()
    if not thin:
        return mesh
    table = _Table(mesh.vertices_mm, mesh.faces, flat_share)
    for _ in range(ROUNDS):
        if sum(table.mended(f) for f in thin) == 0:
            break
        thin = table.thin()
    return table.mesh()


def _heights(points: Floats, faces: Ints) -> Floats:
    """Return each facet's height over its longest edge, in shares of that edge."""
    corners = points[faces]
    longest = np.linalg.norm(corners - np.roll(corners, 1, axis=1), axis=2).max(axis=1)
    area = np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1)
    return np.asarray(area / np.maximum(longest, 1e-300) ** 2)


class _Table:
    """Facets by number while some of them change."""

    def __init__(self, points: Floats, faces: Ints, flat_share: float) -> None:
        self._points, self._share = points, flat_share
        self._faces: list[Corners | None] = [(a, b, c) for a, b, c in faces.tolist()]
        self._across = {edge: f for f, face in enumerate(self._faces) if face for edge in _edges(face)}
        self._round: dict[int, list[int]] = {}
        for f, face in enumerate(faces.tolist()):
            for corner in face:
                self._round.setdefault(corner, []).append(f)
        self._changed: set[int] = set()

    def thin(self) -> list[int]:
        """Return the numbers of thin facets among those that were thin or have changed since this was asked."""
        own = [f for f in sorted(self._changed) if self._faces[f]]
        self._changed = set()
        if not own:
            return []
        low = _heights(self._points, np.array([self._faces[f] for f in own])) <= self._share
        return [f for f, is_low in zip(own, low.tolist(), strict=True) if is_low]

    def mesh(self) -> Mesh:
        """Return points and facets as they are now, points of no facet left out."""
        faces = np.array([face for face in self._faces if face], dtype=np.int64)
        used, renumbered = np.unique(faces, return_inverse=True)
        return Mesh(self._points[used], renumbered.reshape(faces.shape))

    def mended(self, f: int) -> bool:
        """Take one facet out, if it can be; tell whether it was."""
        face = self._faces[f]
        if face is None or (low := self._height(face)) > self._share:
            return False
        if low <= THIN:
            # It is asked again when facets beside it have changed: of a fan only the last can be turned.
            self._changed.add(f)
        length = [float(np.linalg.norm(self._points[a] - self._points[b])) for a, b in _edges(face)]
        shortest, longest = int(np.argmin(length)), int(np.argmax(length))
        short = low <= THIN and length[shortest] <= SHORT_MM
        return (short and self._drawn_together(*_edges(face)[shortest])) or self._turned(
            f, *_edges(face)[longest]
        )

    def _turned(self, f: int, a: int, b: int) -> bool:
        """Join the corners across an edge of two facets instead of its ends."""
        g = self._across[b, a]
        c, d = self._third(f, a, b), self._third(g, b, a)
        new = (a, d, c), (d, b, c)
        if c == d or (c, d) in self._across or (d, c) in self._across:
            return False
        normal = self._normal(self._faces[g])
        size = max(float(np.linalg.norm(normal)), 1e-300)
        beside = abs(float((self._points[c] - self._points[a]) @ normal)) / size
        if self._height(self._faces[f]) > THIN and beside > FLAT_MM:
            return False
        if any(float(self._normal(one) @ normal) < 0.0 for one in new):
            return False
        if min(self._height(one) for one in new) <= min(
            self._height(self._faces[f]), self._height(self._faces[g])
        ):
            return False
        self._replace(f, new[0])
        self._replace(g, new[1])
        return True

    def _drawn_together(self, a: int, b: int) -> bool:
        """Draw an edge together in its first end."""
        own = [f for f in self._round[b] if self._faces[f] is not None and b in (self._faces[f] or ())]
        there = {k for f in self._round[a] for k in self._faces[f] or () if a in (self._faces[f] or ())}
        here = {k for f in own for k in self._faces[f] or ()}
        if len((here & there) - {a, b}) != 2:
            return False
        moved = {}
        for f in own:
            face = self._faces[f]
            if face and a not in face:
                new = tuple(a if k == b else k for k in face)
                if float(self._normal(new) @ self._normal(face)) < 0.0:
                    return False
                moved[f] = new
        for f in own:
            self._replace(f, moved.get(f))
        return True

    def _replace(self, f: int, face: tuple[int, ...] | None) -> None:
        old = self._faces[f]
        for edge in _edges(old) if old else ():
            if self._across.get(edge) == f:
                del self._across[edge]
        self._faces[f] = None
        self._changed.add(f)
        if face:
            a, b, c = face
            self._faces[f] = (a, b, c)
            for edge in _edges((a, b, c)):
                self._across[edge] = f
            for corner in face:
                self._round[corner].append(f)

    def _third(self, f: int, a: int, b: int) -> int:
        return next(k for k in self._faces[f] or () if k not in (a, b))

    def _normal(self, face: tuple[int, ...] | None) -> Floats:
        """Return the cross product of two sides, written out: for one facet NumPy takes ten times as long."""
        (ax, ay, az), (bx, by, bz), (cx, cy, cz) = (self._points[k].tolist() for k in face or ())
        ux, uy, uz, vx, vy, vz = bx - ax, by - ay, bz - az, cx - ax, cy - ay, cz - az
        return np.array([uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx])

    def _height(self, face: tuple[int, ...] | None) -> float:
        longest = max(math.dist(self._points[a], self._points[b]) for a, b in _edges(face or ()))
        return math.hypot(*self._normal(face)) / max(longest, 1e-300) ** 2


def _edges(face: tuple[int, ...]) -> tuple[tuple[int, int], ...]:
    a, b, c = face
    return (a, b), (b, c), (c, a)
