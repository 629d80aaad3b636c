"""What a file holds before anyone knows what it means; and how a reader refuses."""

from __future__ import annotations

import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

import numpy as np

from seatmesh.arrays import Floats, Ints
from seatmesh.errors import FileRefusedError, InputError

MOST_FACETS = 1_500_000
MOST_POINTS = 1_500_000

THINNER = "thin it in the scanner's program, or save it as binary STL"


def no_faces() -> Ints:
    """Return triangles of a file that has none, shape (0, 3)."""
    return np.zeros((0, 3), dtype=np.int64)


@dataclass(frozen=True)
class Raw:
    """Points and triangles as the file has them.

    Attributes
    ----------
    points
        Shape (n, 3), in the unit of the file.
    faces
        Shape (m, 3), indices into the points; none in a point list.
    unit
        One of `seatmesh.formats.length_unit.MM_PER`, where the file says so; else None.
    unit_is_sure
        Whether the user may not say otherwise.
    """

    points: Floats
    faces: Ints = field(default_factory=no_faces)
    unit: str | None = None
    unit_is_sure: bool = True


@contextmanager
def refusing(where: str, what: str) -> Iterator[None]:
    """Turn whatever a reader of another hand stumbles over into a refusal.

    A damaged file may make a library raise anything: which errors is not promised by any of them. NumPy's complaint
    that a text does not end in numbers counts as one too.
    """
    try:
        with warnings.catch_warnings(), np.errstate(all="ignore"):
            warnings.simplefilter("ignore")
            warnings.filterwarnings("error", message="string or file could not be read to its end")
            yield
    except InputError:
        raise
    except Exception as error:
        reason = " ".join(str(error).split())[:120] or type(error).__name__
        raise FileRefusedError(
            f"{where} cannot be read as {what}: {reason}; is it whole, and of the kind that its suffix says?"
        ) from error


def checked(raw: Raw, where: str) -> Raw:
    """Return what was read, or refuse what no seat can be made of.

    Raises
    ------
    FileRefusedError
        It is empty, too large, not finite, or its triangles name points that it does not have.
    """
    if len(raw.points) == 0:
        raise FileRefusedError(f"{where} holds no points; is it the right file?")
    refuse_many(where, len(raw.points), MOST_POINTS * (3 if len(raw.faces) else 1), "points")
    refuse_many(where, len(raw.faces), MOST_FACETS, "triangles")
    if not np.isfinite(raw.points).all():
        row = int(np.flatnonzero(~np.isfinite(raw.points).all(axis=1))[0])
        raise FileRefusedError(
            f"{where}: point {row + 1} is not finite; mend it in the program that made it."
        )
    if len(raw.faces) and not (raw.faces.min() >= 0 and raw.faces.max() < len(raw.points)):
        raise FileRefusedError(f"{where}: a triangle names a point that is not there; write the file again.")
    return raw


def refuse_many(where: str, count: int, most: int, what: str) -> None:
    """Refuse more of something than a computer of a workshop takes in."""
    if count > most:
        raise FileRefusedError(f"{where} has {count} {what}; allowed are {most}; {THINNER}.")


def refuse_long(where: str, data: bytes, mark: bytes, most: int, what: str) -> None:
    """Refuse data in which the mark that ends a piece stays away for twice `most` bytes; half of that may pass."""
    for start in range(0, len(data) - most, most):
        if data.find(mark, start, start + most) < 0:
            raise FileRefusedError(f"{where} holds {what} of more than {most} bytes; is it the right file?")
