"""What a user says of how a seat lies in a file: which way is up, and where the front is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.errors import ValueRefusedError
from seatmesh.reading.placing import Frame
from seatmesh.units import shown

TOWARD = float(np.cos(np.radians(45.0)))
"""A direction that the user gives tells which of the ways is meant, not its last degree."""


@dataclass(frozen=True)
class Toward:
    """Directions in the file that the user says point up out of the seat and to its front; None where not said."""

    up: Floats | None = None
    front: Floats | None = None

    @staticmethod
    def of(up: object, front: object) -> Toward:
        """Return directions that a user gave, made one long.

        Raises
        ------
        ValueRefusedError
            One is not three finite numbers, or none but zeros; or both point the same way.
        """
        one, other = _direction(up, "up"), _direction(front, "front")
        if one is not None and other is not None and abs(float(one @ other)) > TOWARD:
            raise ValueRefusedError(
                "front", shown(front), "allowed is a direction square to up", "give two of the file's axes"
            )
        return Toward(one, other)

    def allows(self, frame: Frame) -> bool:
        """Tell whether a frame points the way that was said."""
        ways = ((self.up, frame.axes[2]), (self.front, frame.axes[1]))
        return all(said is None or bool(axis @ said > TOWARD) for said, axis in ways)


def _direction(given: object, name: str) -> Floats | None:
    if given is None:
        return None
    try:
        way = np.asarray(given, dtype=float)
    except (TypeError, ValueError):
        way = np.zeros(0)
    if way.shape != (3,) or not np.isfinite(way).all() or not np.linalg.norm(way) > 0.0:
        raise ValueRefusedError(
            name, shown(given), "allowed are three finite numbers, not all 0", "give X,Y,Z, such as 0,0,1"
        )
    return np.asarray(way / np.linalg.norm(way))
