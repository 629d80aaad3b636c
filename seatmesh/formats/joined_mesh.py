"""Meshes as trimesh's readers return them, made one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from seatmesh.formats.scan_contents import Raw, no_faces


def joined(pieces: Sequence[Mapping[str, Any]]) -> Raw:
    """Return all pieces as one; a piece has "vertices" and, where it is no point cloud, "faces"."""
    points, faces, count = [], [], 0
    for piece in pieces:
        if piece.get("vertices") is None:
            continue
        vertices = np.asarray(piece["vertices"], dtype=float).reshape(-1, 3)
        points.append(vertices)
        if piece.get("faces") is not None and len(piece["faces"]):
            own = np.asarray(piece["faces"]).astype(np.int64).reshape(-1, 3)
            if own.min() < 0 or own.max() >= len(vertices):
                raise ValueError("a triangle names a point that is not there")
            faces.append(own + count)
        count += len(vertices)
    if not points:
        return Raw(np.zeros((0, 3)))
    return Raw(np.vstack(points), np.vstack(faces) if faces else no_faces())
