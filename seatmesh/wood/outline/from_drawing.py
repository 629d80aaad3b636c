"""An outline from a drawing: the one closed curve of a DXF or SVG file, in mm."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.errors import FileRefusedError, UnknownKeyError
from seatmesh.files.bounded import refuse_unreadable
from seatmesh.wood.outline.dxf_curves import dxf_pieces
from seatmesh.wood.outline.from_points import Pairs, right_half
from seatmesh.wood.outline.svg_curves import svg_pieces

LARGEST_FILE_BYTES = 5_000_000
JOINED_MM = 0.1
"""Ends of neighbouring pieces closer than this are one point."""
MOST_PIECES = 5_000

READERS: dict[str, Callable[[Path, str | None], list[Floats]]] = {".dxf": dxf_pieces, ".svg": svg_pieces}


def outline_from_file(path: str | Path, units: str | None, name: str) -> Pairs:
    """Return the right half of the outline in a drawing, whose front is up on the page.

    Where on the page it lies does not matter: its middle is the centre line, its rearmost line y = 0. `units` is
    "mm", "in" or None, which takes those that the file states; `name` is the key that refusals name.

    Raises
    ------
    FileRefusedError
        No such file, too large, not DXF or SVG, without units, or not one closed curve.
    ValueRefusedError
        The curve is refused; see `seatmesh.wood.outline.from_points.smooth_outline`.
    """
    where = f"outline file '{path}'"
    file = Path(path)
    reader = READERS.get(file.suffix.lower())
    if reader is None:
        raise FileRefusedError(f"{where}: allowed are {', '.join(READERS)}; save the drawing as one of them.")
    refuse_unreadable(file, where, LARGEST_FILE_BYTES, "leave the outline alone in it.")
    try:
        pieces = reader(file, units)
    except UnknownKeyError:
        raise
    except FileRefusedError as error:
        raise FileRefusedError(f"{where}: {error}") from error
    if len(pieces) > MOST_PIECES:
        raise FileRefusedError(f"{where} holds {len(pieces)} pieces; leave the outline alone in it.")
    ring = _one_ring(pieces, where)
    middle = 0.5 * (ring[:, 0].min() + ring[:, 0].max())
    return right_half(ring - np.array([middle, 0.0]), name)


def _one_ring(pieces: Sequence[Floats], where: str) -> Floats:
    """Join pieces end to end into the one closed curve that there is, not repeated at its end."""
    left = [piece for piece in pieces if len(piece) > 1]
    if not left:
        raise FileRefusedError(f"{where} holds no line, arc or path; draw the outline in it.")
    chain, turned = left.pop(0), False
    while left and not _closed(chain):
        gap, number = min((_gap(chain[-1], piece), number) for number, piece in enumerate(left))
        if gap <= JOINED_MM:
            chain = _joined(chain, left.pop(number))
        elif turned:
            break
        else:
            chain, turned = chain[::-1], True
    if not _closed(chain):
        gap = float(np.linalg.norm(chain[0] - chain[-1]))
        ends = f"({chain[0, 0]:.1f}, {chain[0, 1]:.1f}) and ({chain[-1, 0]:.1f}, {chain[-1, 1]:.1f})"
        raise FileRefusedError(
            f"{where}: the outline is open, its ends {ends} mm lie {gap:.2f} mm apart; close it."
        )
    if left:
        raise FileRefusedError(
            f"{where} holds more than one curve ({len(left)} pieces besides the first closed one); "
            "leave the outline alone in it."
        )
    return chain[:-1]


def _closed(chain: Floats) -> bool:
    return len(chain) > 3 and bool(np.linalg.norm(chain[0] - chain[-1]) <= JOINED_MM)


def _joined(chain: Floats, piece: Floats) -> Floats:
    backward = np.linalg.norm(piece[-1] - chain[-1]) < np.linalg.norm(piece[0] - chain[-1])
    return np.vstack([chain, (piece[::-1] if backward else piece)[1:]])


def _gap(end: Floats, piece: Floats) -> float:
    return float(min(np.linalg.norm(piece[0] - end), np.linalg.norm(piece[-1] - end)))
