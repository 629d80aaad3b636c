"""Section cards: the hollow's negative at a station, held into it, on a datum edge that rests on uncut wood."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.station import Station
from seatmesh.surface import Seat
from seatmesh.wood.blank import Blank
from seatmesh.wood.outline.chords import ACROSS, ALONG, chords_mm

STEP_MM = 1.0
CHORD_MM = 0.02
UNCUT_MM = 0.02
"""A depth that no card shows."""
LEAST_REST_MM = 8.0
"""A shorter rest does not hold a card level."""


@dataclass(frozen=True)
class Card:
    """A card in its own frame: u along the station (x across, y along), height over the blank's top face; mm.

    Attributes
    ----------
    edge_mm
        Shape (n, 2): the lower edge from one end of the wood to the other, at minus the depth of the surface.
    height_mm
        Of the straight upper edge over the datum.
    rests_mm
        Where the datum edge lies on uncut wood: from and to, each long enough to rest on.
    witness_mm
        Where the witness mark stands: on the centre line across; along, on the deck line.
    roll_mm
        The y at which the front roll begins; None without one. The roll is worked last: until then no card reaches
        over it.
    """

    station: Station
    edge_mm: Floats
    height_mm: float
    rests_mm: tuple[tuple[float, float], ...]
    witness_mm: float
    roll_mm: float | None = None

    @property
    def is_over_roll(self) -> bool:
        """Whether a card across stands in the front roll."""
        return (
            self.station.runs == "across" and self.roll_mm is not None and self.station.at_mm > self.roll_mm
        )

    @property
    def outline_mm(self) -> Floats:
        """The card's whole outline, shape (n, 2), not repeated at the end."""
        first, last = self.edge_mm[0, 0], self.edge_mm[-1, 0]
        return np.vstack([self.edge_mm, [(last, self.height_mm), (first, self.height_mm)]])

    @property
    def holds_itself(self) -> bool:
        """Whether it rests at two places with the hollow between them."""
        deepest = float(self.edge_mm[int(np.argmin(self.edge_mm[:, 1])), 0])
        before = any(b <= deepest for _, b in self.rests_mm)
        return before and any(a >= deepest for a, _ in self.rests_mm)


def card_of(seat: Seat, station: Station, height_mm: float = 28.0) -> Card:
    """Return the card of a seat at a station that lies inside the blank."""
    ends = span_mm(seat.blank, station)
    u = np.unique(np.concatenate([np.arange(ends[0], ends[1], STEP_MM), _creases(seat, station, ends), ends]))
    u = u[np.concatenate([np.diff(u) > 1e-9, [True]])]
    u = _refined(seat, station, u)
    edge = np.column_stack([u, -_depth(seat, station, u)])
    roll = seat.roll_start_mm if seat.front_roll_mm > 0.0 else None
    return Card(station, edge, height_mm, _rests(edge), _witness(seat.blank, station, ends), roll)


def span_mm(blank: Blank, station: Station) -> tuple[float, float]:
    """Return where a station enters and leaves the wood."""
    runs = ACROSS if station.runs == "across" else ALONG
    first, last = chords_mm(blank.polygon_mm(), np.array([station.at_mm]), runs)
    return float(first[0]), float(last[0])


def _witness(blank: Blank, station: Station, ends: tuple[float, float]) -> float:
    if station.runs == "across":
        return 0.0
    fine = np.arange(ends[0], ends[1], 0.25)
    ahead = blank.ahead_of_deck_mm(np.full(fine.shape, station.at_mm), fine)
    over = np.flatnonzero(ahead > 0.0)
    if len(over) == 0 or over[0] == 0:
        return ends[0]
    i = int(over[0])
    return float(fine[i - 1] + 0.25 * ahead[i - 1] / (ahead[i - 1] - ahead[i]))


def _depth(seat: Seat, station: Station, u: Floats) -> Floats:
    at = np.full(u.shape, station.at_mm)
    return seat.depth_mm(u, at) if station.runs == "across" else seat.depth_mm(at, u)


def _creases(seat: Seat, station: Station, ends: tuple[float, float]) -> Floats:
    """Return where the surface may bend sharply along the station: deck line, lip of the gutter, start of the roll."""
    blank = seat.blank
    fine = np.arange(ends[0], ends[1], 0.25)
    at = np.full(fine.shape, station.at_mm)
    ahead = blank.ahead_of_deck_mm(fine, at) if station.runs == "across" else blank.ahead_of_deck_mm(at, fine)
    out = []
    for level in (0.0, blank.gutter_width_mm):
        over = np.flatnonzero(np.diff(np.sign(ahead - level)) != 0)
        for i in over:
            gap = ahead[i + 1] - ahead[i]
            cross = fine[i] + (level - ahead[i]) / gap * 0.25 if gap else fine[i]
            out += [cross - 1e-6, cross + 1e-6]
    if station.runs == "along":
        out.append(seat.roll_start_mm)
    kept = [one for one in out if ends[0] < one < ends[1]]
    return np.asarray(kept, dtype=float)


def _refined(seat: Seat, station: Station, u: Floats) -> Floats:
    """Halve pieces over which the surface strays from the chord, down to 1/16 mm."""
    for _ in range(5):
        depth = _depth(seat, station, u)
        middle = 0.5 * (u[1:] + u[:-1])
        strays = np.abs(_depth(seat, station, middle) - 0.5 * (depth[1:] + depth[:-1])) > CHORD_MM
        strays &= np.diff(u) > 0.01
        if not strays.any():
            return u
        u = np.insert(u, np.flatnonzero(strays) + 1, middle[strays])
    return u


def _rests(edge: Floats) -> tuple[tuple[float, float], ...]:
    """Return the runs of the edge at the datum that are long enough to rest on."""
    flat = edge[:, 1] > -UNCUT_MM
    turns = np.flatnonzero(np.diff(flat.astype(int)) != 0)
    starts = np.concatenate([[0], turns + 1])
    stops = np.concatenate([turns, [len(edge) - 1]])
    runs = [(float(edge[a, 0]), float(edge[b, 0])) for a, b in zip(starts, stops, strict=True) if flat[a]]
    return tuple(run for run in runs if run[1] - run[0] >= LEAST_REST_MM)
