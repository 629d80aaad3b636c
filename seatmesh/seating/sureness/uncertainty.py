"""How far what is not known of a sitter carries through to the pressure, and which measure to take next.

Possible true sitters are drawn and pressed: their measures together with the tissue under the sit bones (see
`seatmesh.body.survey.draw`), how stiff that tissue is, where they sit down, and how far the model itself may be off
(see `seatmesh.seating.sureness.model_error`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.special import ndtri

from seatmesh.arrays import Floats
from seatmesh.body.body import Z90, Body
from seatmesh.body.figure.posture import posture_named
from seatmesh.body.figure.seated import SeatedBody, seat_bodies
from seatmesh.body.many_bodies import ManyBodies
from seatmesh.body.measures import MEASURES
from seatmesh.body.survey.draw import DIMENSIONS, DRAWN, bodies_at, evened_points, measures_at, taken_of
from seatmesh.cautions import INTERVALS
from seatmesh.errors import NotSolvedError, ValueRefusedError
from seatmesh.seating.many.sittings import ManySittings
from seatmesh.seating.place import PART_ERROR, PLACE_ERROR_MM, places_of
from seatmesh.seating.settle import LEG_HOLLOW_TURN
from seatmesh.seating.sit import MOST_LOAD_N
from seatmesh.seating.sit_many import sit_many
from seatmesh.seating.sureness.model_error import with_model_error
from seatmesh.surface import Seat
from seatmesh.tissue import TISSUE, TissueBed

STIFFNESS_SPREAD = 0.27
"""Standard deviation of the logarithm of tissue stiffness between people. From memory: a man's and a woman's modulus
differ by 0.30 (B8); indented fat and muscle scatter by 0.16 to 0.7 (B7), much of it from the indenting."""
SIDE_ERROR_MM = 5.0
"""Standard error of where across the seat a person sits down; from memory."""
CHANCES = 5
"""Stiffness, place along and across, and the model's error of peak and area."""
SAMPLES = 64
"""Drawn sitters. Evened out, they leave the ends of an interval uncertain by 1 % of its width, 3 % without a sex."""
LEAST_BALANCED = 0.5
"""Share of the drawn sitters that have to balance for an interval to be stated."""
SEED = 1
CELL_MM = 8.0
"""Grid for drawn sitters; its peak is 2 +/- 1 % below that of the usual grid, its area the same."""
LOWEST_OUTSIDE_SIT_BONE_MM = 10.0
"""The pressed skin is lowest about this far outside the sit bones, where tissue gives way to the bone's flank."""
LOWEST_WITHIN_MM = 80.0
LOWEST_STEP_MM = 8.0

PEAK_POWER = 1.0 / 3.0
"""Peaks rise the faster the thinner the tissue, so even their logarithms lean to the high side; peak ** -PEAK_POWER of
drawn sitters does not: with it 4.5 to 6 % of them lie beyond either end, slight or heavy, sex stated or not."""

FIGURES = ("peak_kpa", "contact_area_cm2", "deepest_y_mm")


@dataclass(frozen=True)
class Uncertainty:
    """What is known of a sitting beforehand: 90 % intervals, and what would narrow them.

    Attributes
    ----------
    intervals
        5 % and 95 % ends of each of `FIGURES`: peak over 1 cm2, contact area, and the distance from the rear edge at
        which a seat fitted to the true sitter would be deepest.
    measure_next
        The measure, not taken so far, that would narrow them most; None where all are taken.
    narrows_share
        Share of the variance (mean over the three) that it would take away, its own error allowed for.
    samples, failed
        Sitters drawn, and how many of them found no balance and so are not in the intervals.
    """

    intervals: Mapping[str, tuple[float, float]]
    measure_next: str | None
    narrows_share: float
    samples: int
    failed: int


def uncertainty_of(
    body: Body,
    seat: Seat,
    *,
    load_n: float | None = None,
    posture: str = "upright",
    samples: int = SAMPLES,
    seed: int = SEED,
) -> Uncertainty:
    """Press possible true sitters behind a body on a seat and return what they have in common.

    Intervals are those of a normal distribution with the mean and the spread of the drawn figures, taken on a power of
    the peak and on the logarithm of the area. Same seed, same result.

    Raises
    ------
    UnknownKeyError
        For a posture that is none.
    ValueRefusedError
        For a load, a number of samples or a seed out of range.
    NotSolvedError
        Fewer than `LEAST_BALANCED` of the drawn sitters balance.
    """
    if load_n is not None and not 0.0 < load_n <= MOST_LOAD_N:
        raise ValueRefusedError(
            "load_n", load_n, f"above 0 and at most {MOST_LOAD_N:g} N", "give the force in newtons"
        )
    points = evened_points(samples, DIMENSIONS + CHANCES, seed)
    people, chances = points[:, :DIMENSIONS], ndtri(points[:, DIMENSIONS:])
    figures = figures_of_draws(bodies_at(body, people), seat, chances, load_n=load_n, posture=posture)
    balanced = np.all(np.isfinite(figures), axis=1)
    if np.mean(balanced) < LEAST_BALANCED:
        raise NotSolvedError(
            f"{body.name}: only {np.count_nonzero(balanced)} of {samples} possible sitters balance on this seat; use a "
            "smaller load, another place or more measures"
        )
    scaled = _scaled(figures[balanced])
    name, share = _next_measure(body, measures_at(body, people)[1][balanced], scaled)
    return Uncertainty(_intervals(scaled), name, share, samples, int(np.count_nonzero(~balanced)))


def uncertainty_report(uncertainty: Uncertainty) -> dict[str, Any]:
    """Return intervals and the measure to take next under the keys that the command `sit` prints."""
    return {
        "interval_90": {name: list(ends) for name, ends in uncertainty.intervals.items()},
        "interval_note": INTERVALS,
        "interval_samples": uncertainty.samples,
        "interval_failed": uncertainty.failed,
        "measure_next": uncertainty.measure_next,
        "measure_next_narrows_share": uncertainty.narrows_share,
    }


def figures_of_draws(
    bodies: Sequence[Body],
    seat: Seat,
    chances: Floats,
    *,
    load_n: float | None,
    posture: str,
    cell_mm: float = CELL_MM,
) -> Floats:
    """Return `FIGURES` of exactly known bodies, shape (bodies, 3); not a number where one does not balance.

    `chances` holds `CHANCES` standard normal scores of each. The place along carries, beside where one sits down, the
    error of the proportion that puts the sit bones ahead of the back of the buttocks.
    """
    many = ManyBodies.of(bodies)
    way = posture_named(posture)
    seated = seat_bodies(many, way)
    behind = np.broadcast_to(seated.anatomy.buttock_back, (len(many), 1))[:, 0]
    along = np.hypot(PLACE_ERROR_MM, PART_ERROR * behind) * chances[:, 1]
    moved = np.column_stack([SIDE_ERROR_MM * chances[:, 2], along])
    stiffness = np.exp(STIFFNESS_SPREAD * chances[:, 0])
    bare = Seat(seat.blank, seat.chair, title=seat.title, units=seat.units)
    on_flat, on_seat = (
        sit_many(
            many,
            one,
            load_n=load_n,
            posture=posture,
            at_mm=moved,
            spacing_mm=cell_mm,
            stiffness=stiffness,
            threads=1,
        )
        for one in (bare, seat)
    )
    x, y = places_of(many, seated, seat.blank)
    at = x + way.shift_mm + moved[:, :1], y + moved[:, 1:]
    peak, area = with_model_error(on_seat.peak_kpa, on_seat.contact_area_cm2, chances[:, 3:].T)
    figures = np.column_stack([peak, area, deepest_y_mm(seated, at, on_flat, stiffness)])
    figures[~(on_flat.converged & on_seat.converged)] = np.nan
    return figures


def deepest_y_mm(
    seated: SeatedBody, at_mm: tuple[Floats, Floats], on_flat: ManySittings, stiffness: Floats
) -> Floats:
    """Return how far from the rear edge a seat fitted to each of many sitters would be deepest, shape (bodies,).

    That is the lowest point of the body pressed evenly, with its mean pressure on the flat blank, in its pose there
    turned as the fit turns it. It is looked for along a line past each sit bone, between points by a parabola.
    `seated` holds lengths of shape (bodies, 1), and so does `at_mm`, where the bodies lie on the blank.
    """
    count = len(on_flat)
    aside = np.broadcast_to(seated.anatomy.sit_bone_x, (count, 1)) + LOWEST_OUTSIDE_SIT_BONE_MM
    y = np.arange(-LOWEST_WITHIN_MM, LOWEST_WITHIN_MM + LOWEST_STEP_MM, LOWEST_STEP_MM)
    columns, rows = np.hstack([-aside, aside]).repeat(len(y), axis=1), np.tile(y, (count, 2))
    skin = seated.skin(columns, rows)
    bed = TissueBed(TISSUE, seated.held(columns, rows, skin)[1])
    even_mpa = on_flat.load_n / (on_flat.contact_area_cm2 * 100.0) / stiffness
    pressed = skin + bed.overlap_at(np.repeat(even_mpa, 2 * len(y))).reshape(skin.shape)
    ahead, right = (
        rows + at_mm[1] - on_flat.load_y_mm[:, None],
        columns + at_mm[0] - on_flat.load_x_mm[:, None],
    )
    pitch, roll = np.radians(on_flat.pitch_deg) + LEG_HOLLOW_TURN, np.radians(on_flat.roll_deg)
    height = pressed - on_flat.heave_mm[:, None] - pitch[:, None] * ahead - roll[:, None] * right
    lines = height.reshape((count, 2, len(y)))
    who = np.arange(count)
    column, lowest = np.divmod(height.argmin(axis=1), len(y))
    row = np.clip(lowest, 1, len(y) - 2)
    before, here, after = (lines[who, column, row + step] for step in (-1, 0, 1))
    bow = np.maximum(before - 2.0 * here + after, 1e-9)
    beyond = np.clip(0.5 * (before - after) / bow, -1.0, 1.0)
    return np.asarray(at_mm[1][:, 0] + y[row] + LOWEST_STEP_MM * beyond)


def _scaled(figures: Floats) -> Floats:
    """Return the figures, shape (n, 3), on the scales on which they spread evenly to both sides."""
    return np.column_stack([-(figures[:, 0] ** -PEAK_POWER), np.log(figures[:, 1]), figures[:, 2]])


def _intervals(scaled: Floats) -> dict[str, tuple[float, float]]:
    middle, half = scaled.mean(axis=0), Z90 * scaled.std(axis=0, ddof=1)
    ends = np.stack([middle - half, middle + half])
    # Peaks that spread beyond all measure have no upper end, which NumPy warns of.
    peak = np.maximum(-ends[:, 0], 0.0) ** (-1.0 / PEAK_POWER)
    low, high = np.column_stack([peak, np.exp(ends[:, 1]), ends[:, 2]])
    return {name: (float(low[i]), float(high[i])) for i, name in enumerate(FIGURES)}


def _next_measure(body: Body, measures: Floats, scaled: Floats) -> tuple[str | None, float]:
    """Return the measure not taken yet that explains most of the figures' variance, and the share that it explains.

    Only what a maker can take by hand counts.
    A reading m + e explains cov(f, m)^2 / (var m + var e) of the variance of a figure f that is linear in m.
    """
    best: tuple[str | None, float] = (None, 0.0)
    off = scaled - scaled.mean(axis=0)
    taken = taken_of(body)
    for name, kind in MEASURES.items():
        if name in taken or not kind.by_hand:
            continue
        m = measures[:, DRAWN.index(name)]
        together = off.T @ (m - m.mean()) / (len(m) - 1)
        explained = together**2 / (m.var(ddof=1) + kind.tape_error**2) / off.var(axis=0, ddof=1)
        share = float(explained.mean())
        if share > best[1]:
            best = name, share
    return best
