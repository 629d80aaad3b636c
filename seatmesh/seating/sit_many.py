"""Sit many bodies on one seat: streams of bodies in, arrays of poses and figures out, memory bounded.

It is the path of one body (`seatmesh.seating.laid`), with an axis of bodies: the same cells, law and balance.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice

import numpy as np

from seatmesh.arrays import Bools, Floats, Ints
from seatmesh.body.body import Body
from seatmesh.body.figure.posture import posture_named
from seatmesh.body.figure.seated import seat_bodies
from seatmesh.body.many_bodies import ManyBodies
from seatmesh.contact import Load
from seatmesh.errors import ValueRefusedError
from seatmesh.seating.cells import WoodCells, cells_of
from seatmesh.seating.grid import grid_of
from seatmesh.seating.laid import Laid
from seatmesh.seating.load import seat_load
from seatmesh.seating.many.figures_of_many import figures_of_many
from seatmesh.seating.many.rim import blank_width_mm, outside_hollow
from seatmesh.seating.many.side_by_side import side_by_side
from seatmesh.seating.many.sittings import Columns, ManySittings
from seatmesh.seating.place import places_of
from seatmesh.seating.settle import depth_over, is_even
from seatmesh.solution import CONVERGED
from seatmesh.surface import Seat
from seatmesh.tissue import TISSUE, TissueLaw

MANY_SPACING_MM = 8.0
"""Cells on which many bodies are pressed: peaks are a little lower than on cells of 4 mm, alike on all seats."""
AT_ONCE = 36_000
"""Bodies times cells that are reckoned at once: so many stay in the processor's own memory."""
A_BATCH = 1024
"""Bodies of a stream that are taken in at once."""


def sit_many(
    bodies: Sequence[Body] | ManyBodies,
    seat: Seat,
    *,
    load_n: Floats | float | None = None,
    posture: str = "upright",
    at_mm: Floats | tuple[float, float] = (0.0, 0.0),
    spacing_mm: float = MANY_SPACING_MM,
    law: TissueLaw = TISSUE,
    stiffness: Floats | float = 1.0,
    threads: int | None = None,
) -> ManySittings:
    """Sit many bodies on a seat, each on its own, and return poses and figures as arrays.

    Each answer is that of `seatmesh.sit` on cells of `spacing_mm`. Working memory does not grow with their number; for
    very many use `sit_stream`.

    Parameters
    ----------
    bodies
        As many as there are; none is fine. Which ones are pressed in one call changes no figure by more than the
        solver's tolerance, but may change its last digits.
    load_n
        Force to press with, N: one for all or one each, shape (bodies,); None takes each one's own.
    posture
        One of `seatmesh.body.figure.posture.POSTURES`, the same for all.
    at_mm
        How far to the sitter's right and forward of the usual place: one for all, or shape (bodies, 2).
    spacing_mm
        Largest size of a cell.
    law
        What the flesh answers with.
    stiffness
        How many times as hard as `law` says the flesh pushes back: one for all or one each, shape (bodies,).
    threads
        How many batches are reckoned side by side; None takes the processors there are, up to `MOST_THREADS`. The
        answers are the same to the bit.

    Raises
    ------
    UnknownKeyError
        For a posture that is none.
    ValueRefusedError
        For a number of threads below 1, a place that is not finite, a stiffness that is not above 0, or loads, places
        or stiffnesses that are not one for each body.

    Examples
    --------
    >>> from seatmesh import estimate_body, flat_seat
    >>> from seatmesh.seating.sit_many import sit_many
    >>> many = sit_many([estimate_body("male", 1740, 69), estimate_body("female", 1640, 61)], flat_seat())
    >>> many.peak_kpa.shape, many.load_share.shape, bool(many.converged.all())
    ((2,), (2, 5), True)
    """
    many = bodies if isinstance(bodies, ManyBodies) else ManyBodies.of(list(bodies))
    count = len(many)
    at = _each("at_mm", at_mm, (count, 2))
    if not np.all(np.isfinite(at)):
        raise ValueRefusedError("at_mm", at_mm, "finite lengths", "give mm to the right and forward")
    force = None if load_n is None else _each("load_n", load_n, (count,))
    stiffer = _each("stiffness", stiffness, (count,))
    if not (np.isfinite(stiffer) & (stiffer > 0.0)).all():
        raise ValueRefusedError(
            "stiffness",
            stiffness,
            "numbers above 0",
            "give 1 for flesh as the law has it, 1.2 for stiffer flesh",
        )
    posture_named(posture)
    mass, aside = many.measures["mass_kg"], many.habits["across_mm"] + at[:, 0]
    out, batches = Columns(count), []
    # Bodies of about one weight touch about the same cells.
    for group in (np.flatnonzero(aside == 0.0), np.flatnonzero(aside != 0.0)):
        if not len(group):
            continue
        surface = _Surface.of(seat, posture, spacing_mm, middle=bool(aside[group[0]] == 0.0))
        order = group[np.argsort(mass[group], kind="stable")]
        step = max(1, AT_ONCE // max(len(surface.cells.at), 1))
        batches += [(order[first : first + step], surface) for first in range(0, len(order), step)]

    def pressed(batch: tuple[Ints, _Surface]) -> tuple[tuple[str, ...], dict[str, Floats]]:
        some, surface = batch
        own = None if force is None else force[some]
        return _pressed(many.some(some), surface, at[some], own, law, stiffer[some])

    for (some, _), found in zip(batches, side_by_side(pressed, batches, threads), strict=True):
        out.put(some, found)
    return out.sittings()


def sit_stream(
    bodies: Iterable[Body],
    seat: Seat,
    *,
    load_n: float | None = None,
    posture: str = "upright",
    spacing_mm: float = MANY_SPACING_MM,
    law: TissueLaw = TISSUE,
    batch: int = A_BATCH,
) -> Iterator[ManySittings]:
    """Yield `sit_many` of `batch` bodies after the other, taken from a stream that may be endless; raises as that."""
    rest = iter(bodies)
    while some := list(islice(rest, batch)):
        yield sit_many(some, seat, load_n=load_n, posture=posture, spacing_mm=spacing_mm, law=law)


@dataclass(frozen=True)
class _Surface:
    """A seat at all cells that count: those of the right half where bodies in the middle press both sides alike."""

    seat: Seat
    posture: str
    cells: WoodCells
    depth: Floats
    outside: Bools
    """Which cells lie outside the hollow."""

    @classmethod
    def of(cls, seat: Seat, posture: str, spacing_mm: float, *, middle: bool) -> _Surface:
        grid = grid_of(seat.blank, spacing_mm)
        depth = depth_over(grid, seat)
        way = posture_named(posture)
        even = middle and way.crossed is None and way.shift_mm == 0.0 and is_even(depth)
        cells = cells_of(grid, even=even)
        outside = outside_hollow(seat, grid).ravel()[cells.at]
        return cls(seat, posture, cells, depth.ravel()[cells.at], outside)


def _each(name: str, given: Floats | float | tuple[float, float], shape: tuple[int, ...]) -> Floats:
    try:
        return np.broadcast_to(np.asarray(given, dtype=float), shape)
    except ValueError as wrong:
        raise ValueRefusedError(
            name, f"of shape {np.shape(given)}", f"one for all, or shape {shape}", "give one for each body"
        ) from wrong


def _pressed(
    bodies: ManyBodies,
    surface: _Surface,
    at_mm: Floats,
    force: Floats | None,
    law: TissueLaw,
    stiffer: Floats,
) -> tuple[tuple[str, ...], dict[str, Floats]]:
    """Return verdicts and figures, by name, of bodies that are reckoned at once."""
    way, seat, cells = posture_named(surface.posture), surface.seat, surface.cells
    seated = seat_bodies(bodies, way)
    usual = places_of(bodies, seated, seat.blank)
    x, y = usual[0] + way.shift_mm + at_mm[:, :1], usual[1] + at_mm[:, 1:]
    own = seat_load(seated, way, seat.chair)
    count = len(bodies)
    load = Load(
        *(np.broadcast_to(one, (count, 1))[:, 0] for one in (own.force_n, x + own.x_mm, y + own.y_mm))
    )
    skin = seated.skin(cells.x_mm - x, cells.y_mm - y)
    laid = Laid(seated, cells, (x, y), load, skin)
    # All that flesh answers with goes with its modulus: stiffer flesh under a load lies as the law's under less of it.
    pressing = replace(load, force_n=load.force_n if force is None else force)
    found = laid.settle(surface.depth, law, force_n=pressing.force_n / stiffer)
    pressure, stiffness = (stiffer[:, None] * one for one in (found.pressure_mpa, found.stiffness))
    found = replace(found, load=pressing, pressure_mpa=pressure, stiffness=stiffness)
    load = found.load
    known = {
        "load_n": load.force_n,
        "load_x_mm": load.x_mm,
        "load_y_mm": load.y_mm,
        "feet_share": np.broadcast_to(own.feet_share, (count, 1))[:, 0],
        "knee_clearance_mm": (y + seated.knee_back_y - seat.blank.depth_mm)[:, 0],
        "hip_margin_mm": blank_width_mm(cells.grid, y[:, 0]) - bodies.measures["hip_breadth_sitting_mm"],
        "residual": found.balances.residual,
    }
    solved = np.array([verdict == CONVERGED for verdict in found.balances.verdicts])
    told = figures_of_many(laid, found, seat, surface.outside)
    shown = {
        name: np.where(solved if one.ndim == 1 else solved[:, None], one, np.nan)
        for name, one in told.items()
    }
    return found.balances.verdicts, known | shown
