"""The wood that a saved seat has to lie below: what readings and stated gouges bear out, and what is still in doubt.

What is taken on the word of a reading cannot be put back, and a seat that ignores a true one has to be saved again. So
a reading counts where its neighbours or a second reading bear it out, and one that is in doubt and would matter is to
be read again first.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from seatmesh.arrays import Bools, Floats
from seatmesh.errors import FileRefusedError, ValueRefusedError
from seatmesh.gauge.check.check_readings import GaugeCheck
from seatmesh.gauge.check.verdict import AGAIN, MISREAD, QUESTIONED, TOO_DEEP
from seatmesh.gauge.save.gouge import Gouge
from seatmesh.place_words import roughly
from seatmesh.surface import Seat
from seatmesh.units import format_length

NICK_MM = 0.05
"""What a scraper takes from the deck without a word."""
UNCUT_MM, SCATTERS = 0.3, 3.0
"""Where the seat leaves wood uncut, readings as small as this, or as so many times their scatter, are scatter."""
MATTERS_MM = 0.3
"""A reading in doubt that is deeper than the new seat by no more than this changes nothing that is done."""
OFF_SIGMAS = 2.5
"""A reading that lies farther from what its neighbours say is not borne out by them, in standard deviations."""
NAMED = 6


@dataclass(frozen=True)
class WoodAsCut:
    """Places (n,), depth of the wood there, which lie ahead of the deck line or are mere nicks, what was left out."""

    x_mm: Floats
    y_mm: Floats
    depth_mm: Floats
    ahead: Bools
    notes: tuple[str, ...]


def wood_of(seat: Seat, check: GaugeCheck | None, gouges: Sequence[Gouge], scatter_mm: float) -> WoodAsCut:
    """Return the wood that the new seat has to lie at or below.

    Raises
    ------
    ValueRefusedError
        The middle of a gouge lies off the blank.
    """
    parts: list[tuple[Floats, Floats, Floats]] = []
    notes: list[str] = []
    if check is not None:
        use, notes = _borne_out(check)
        r = check.readings
        allowed = np.where(check.confirmed, 0.0, scatter_mm)
        parts.append((r.x_mm[use], r.y_mm[use], (r.depth_mm - allowed)[use]))
    parts += [_bowl(seat, gouge) for gouge in gouges]
    x, y, depth = (np.concatenate(columns) for columns in zip(*parts, strict=True))
    ahead = (seat.blank.ahead_of_deck_mm(x, y) > 0.0) | (depth <= NICK_MM)
    return WoodAsCut(x, y, depth, ahead, tuple(notes))


def refuse_doubted(check: GaugeCheck, new: Seat, scatter_mm: float) -> None:
    """Refuse a new seat that wood would lie below, were a reading true that is still in doubt.

    Raises
    ------
    FileRefusedError
        It names the points, and what to do about each.
    """
    r = check.readings
    beyond = r.depth_mm - new.depth_mm(r.x_mm, r.y_mm)
    doubted = np.flatnonzero(in_doubt(check) & (beyond > max(MATTERS_MM, scatter_mm)))
    if not len(doubted):
        return
    order = doubted[np.argsort(-beyond[doubted])]
    _, first = np.unique(r.point[order], return_index=True)
    order = order[np.sort(first)]
    units = check.seat.units
    named = "; ".join(
        f"point {r.point[k]} ({roughly(float(r.x_mm[k]), float(r.y_mm[k]), units)}) reads "
        f"{format_length(float(beyond[k]), units)} below the new seat: {check.why[k]}"
        for k in order[:NAMED]
    )
    more = f"; and {len(order) - NAMED} more" if len(order) > NAMED else ""
    raise FileRefusedError(
        f"nothing is saved yet, since {len(order)} reading{'s are' if len(order) > 1 else ' is'} in doubt that would "
        f"make the seat another one: {named}{more}. Put what you read into a further row of the same point, or 1 in "
        "the column confirmed where it read the same again; `gauge check --further FILE` writes the rows to fill in."
    )


def in_doubt(check: GaugeCheck) -> Bools:
    """Return which readings are in doubt, shape (n,).

    Those are the questioned ones, but for such as lie where their neighbours put them by a bar that is told: these are
    questioned only because they are neither surely deep nor surely done.
    """
    off = np.abs(check.readings.to_take_mm - check.fair_to_take_mm)
    near = off <= OFF_SIGMAS * np.hypot(check.surface.noise_mm, check.error_mm)
    # On uncut wood a reading speaks for itself alone until another one confirms it.
    with_others = ~check.readings.told_here | check.confirmed
    plain = np.array([why == AGAIN for why in check.why]) & near & with_others
    return np.asarray((np.array(check.state) == QUESTIONED) & ~plain)


def _borne_out(check: GaugeCheck) -> tuple[Bools, list[str]]:
    """Return the readings that count, and notes on those that do not."""
    r = check.readings
    state = np.array(check.state)
    out, doubted = state == MISREAD, in_doubt(check)
    count = np.where(check.confirmed, 2.0, 1.0)
    scatter = np.maximum(UNCUT_MM, SCATTERS * max(check.surface.noise_mm, r.bars.noise_mm)) / np.sqrt(count)
    uncut = (r.target_mm <= 0.0) & (r.depth_mm <= scatter) & (state != TOO_DEEP)
    notes = []
    for which, words in (
        (out & r.read, "misread, as other readings of the same crossing say"),
        (
            doubted & r.read & ~uncut,
            "in doubt; the new seat lies below what most of them say: read them again before you cut",
        ),
        (r.read & ~out & uncut & (r.depth_mm > 0.0), "on wood that stays uncut: taken as scatter"),
    ):
        if which.any():
            notes.append(f"{int(which.sum())} reading{'s' if which.sum() > 1 else ''} left out, {words}")
    return r.read & ~out & ~doubted & ~uncut, notes


def _bowl(seat: Seat, gouge: Gouge) -> tuple[Floats, Floats, Floats]:
    if seat.blank.inside_mm(np.array(gouge.x_mm), np.array(gouge.y_mm)) < 0.0:
        raise ValueRefusedError(
            "gouge", f"x {gouge.x_mm:g}, y {gouge.y_mm:g} mm", "a place on the blank", "correct its middle"
        )
    x, y = gouge.places()
    inside = seat.blank.inside_mm(x, y) >= 0.0
    x, y = x[inside], y[inside]
    return x, y, seat.depth_mm(x, y) + gouge.below_drawn_mm(x, y) + gouge.between_mm
