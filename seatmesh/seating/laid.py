"""Bodies laid over the cells of a blank, and their balance on a surface: one body is many of which there is one.

Only cells that come to touch count in a balance. They are foreseen from a balance on a few cells, coarsely spread; once
it is found on those, the overlap of all others is looked at, and whatever touches after all is taken in and the balance
looked for again. So none that touches is ever left out of an answer.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from seatmesh.arrays import Bools, Floats, Ints
from seatmesh.body.figure.seated import PARTS, SeatedBody, parts_of
from seatmesh.contact import ARM_MM, Balances, Layer, Load, balance_all
from seatmesh.seating.cells import WoodCells
from seatmesh.seating.figures import load_shares
from seatmesh.solution import CONVERGED
from seatmesh.tissue import Backing, TissueBed, TissueLaw

FORESEEN_MM = 2.0
"""Cells that stay this close to touching are taken in with those that do."""
ROUGHLY = 0.02
"""Imbalance at which a coarse balance, which is only a start, is good enough."""
MOST_FOUND = 8
"""Balances that are kept for whoever asks for the same again."""
MOST_LAWS = 4
"""Laws of flesh of which the answers' constants are kept."""
PRESSED_THROUGH = 0.80
"""Compression beyond which tissue counts as pressed through. The elements that taught the law end at 0.69 of its own
measure; what lies between is carried on, so that drawn sitters of soft flesh still count."""
TOO_FAR = (
    "the load presses the tissue further than the model knows; use a smaller load, a deeper seat or check the "
    "measures"
)


@dataclass(frozen=True)
class Balanced:
    """Bodies in balance on a surface.

    Attributes
    ----------
    balances
        Poses about each load's point, with verdicts.
    load
        What each carries and where, arrays (bodies,).
    touched
        Which of the cells count: all that touch are among them, shape (m,).
    pressure_mpa, stiffness
        On those, shape (bodies, m); MPa and MPa/mm.
    """

    balances: Balances
    load: Load
    touched: Ints
    pressure_mpa: Floats
    stiffness: Floats


@dataclass
class _Touching:
    """Cells that count, (m,), and what holds the flesh over them; it grows as further cells come to touch."""

    at: Ints
    distance: Floats
    backing: Backing
    layers: dict[TissueLaw, Layer] = field(default_factory=dict)

    def layer(self, law: TissueLaw, cells: WoodCells, area_mm2: Floats, gap: Floats) -> Layer:
        """Return the layer of these out of all cells; what is known of the cells and the flesh is found but once."""
        own = gap[:, self.at]
        if law not in self.layers:
            if len(self.layers) >= MOST_LAWS:
                self.layers.clear()
            self.layers[law] = Layer(
                cells.aside_mm[self.at], cells.y_mm[self.at], own, area_mm2, TissueBed(law, self.backing)
            )
        return self.layers[law].under(own)


@dataclass(eq=False)
class Laid:
    """Bodies laid over cells, each at its place.

    Attributes
    ----------
    seated
        The bodies, each length of shape (bodies, 1); or one alone, its lengths numbers.
    at_mm
        Where the middle between the sit bones lies: x and y, arrays (bodies, 1).
    load
        What each carries and where, arrays (bodies,), in the frame of the blank.
    skin
        Height of the underside of skin over all cells, (bodies, n).
    held
        What holds the flesh over all cells of one body, where it is not the body's own bones.
    """

    seated: SeatedBody
    cells: WoodCells
    at_mm: tuple[Floats, Floats]
    load: Load
    skin: Floats
    held: Backing | None = None
    _touching: _Touching | None = None
    _coarse: _Touching | None = None
    _found: dict[object, Balanced] = field(default_factory=dict, init=False)

    def settle(
        self, depth_mm: Floats, law: TissueLaw, start: Floats | None = None, force_n: Floats | None = None
    ) -> Balanced:
        """Balance all on a surface of some depth (n,); `start` are unknowns (bodies, 3) to begin from, see `contact`.

        `force_n` (bodies,) is what presses instead of their own weight. What was found lately on the same depths is
        not looked for again.
        """
        load = self.load if force_n is None else replace(self.load, force_n=force_n)
        key = depth_mm.tobytes(), law, load.force_n.tobytes()
        if key in self._found:
            return self._found[key]
        found = self._settled(depth_mm, law, start, load)
        # Without a balance another start may find one.
        if _solved(found.balances).all():
            while len(self._found) >= MOST_FOUND:
                del self._found[next(iter(self._found))]
            self._found[key] = found
        return found

    def _settled(self, depth_mm: Floats, law: TissueLaw, start: Floats | None, load: Load) -> Balanced:
        gap = self.skin + depth_mm
        q = self._roughly(gap, law, load) if start is None else start
        touching = self._foreseen(gap, q, load)
        while True:
            layer = touching.layer(law, self.cells, self.cells.area_mm2[touching.at], gap)
            found = balance_all(layer, load, q)
            solved = _solved(found)
            overlap = self._overlap(gap, found.q, load)
            missed = self._missed(overlap, touching.at, all_solved=bool(solved.all()))
            if missed is None:
                break
            touching, q = self._grown(missed), np.where(solved[:, None], found.q, np.nan)
        pressure, stiffness = found.pressure_mpa, found.stiffness
        if not solved.all():
            pressure, stiffness = (np.where(solved[:, None], one, 0.0) for one in (pressure, stiffness))
        verdicts = _judged(found, layer, pressure, overlap[:, touching.at])
        for array in (pressure, stiffness):
            array.setflags(write=False)
        return Balanced(replace(found, verdicts=verdicts), load, touching.at, pressure, stiffness)

    def sink_mm(self, balances: Balances, load: Load, x_mm: Floats, y_mm: Floats) -> Floats:
        """Return how far each has gone down at points (n,) or (bodies, n)."""
        q = balances.q[:, :, None]
        ahead, right = y_mm - np.asarray(load.y_mm)[:, None], x_mm - np.asarray(load.x_mm)[:, None]
        return np.asarray(q[:, 0] + q[:, 1] / ARM_MM * ahead + q[:, 2] / ARM_MM * right)

    def load_shares(self, found: Balanced) -> Floats:
        """Return the share of the load on each of `PARTS`, shape (bodies, parts)."""
        at, cells = found.touched, self.cells
        touching = self._touching
        if touching is None or touching.at is not at:
            touching = _Touching(at, *self._backing_over(at))
        x, y = cells.x_mm[at] - self.at_mm[0], cells.y_mm[at] - self.at_mm[1]
        part = parts_of(touching.distance, x, y).reshape(np.shape(x))
        mirrored = cells.x_mm[at] > 0.0 if cells.even else None
        force = found.pressure_mpa * cells.area_mm2[at]
        return load_shares(force, part, len(PARTS), mirrored=mirrored)

    def _overlap(self, gap: Floats, q: Floats, load: Load) -> Floats:
        """Return the overlap of all cells (bodies, n) at unknowns."""
        cells = self.cells
        turn = q / np.array([1.0, ARM_MM, ARM_MM])
        level = turn[:, 0] - turn[:, 1] * load.y_mm - turn[:, 2] * load.x_mm
        overlap = turn[:, 1:2] * cells.y_mm
        overlap += turn[:, 2:] * cells.x_mm
        overlap += level[:, None]
        overlap -= gap
        return np.asarray(overlap)

    def _roughly(self, gap: Floats, law: TissueLaw, load: Load) -> Floats:
        """Return unknowns to begin from: those of a balance on a few cells, not a number where there is none."""
        if self._coarse is None:
            self._coarse = self._over(self.cells.coarse)
        layer = self._coarse.layer(law, self.cells, self.cells.coarse_mm2, gap)
        found = balance_all(layer, load, tolerance=ROUGHLY)
        return np.where(_solved(found)[:, None], found.q, np.nan)

    def _foreseen(self, gap: Floats, q: Floats, load: Load) -> _Touching:
        """Return the cells that count, with those that touch, or nearly do, at unknowns."""
        if not np.isfinite(q).all():
            return self._grown(np.ones(gap.shape[1], dtype=bool))
        overlap = self._overlap(gap, q, load)
        known = self._touching
        if known is not None and not _left_out(overlap > 0.0, known.at).any():
            # What nearly touches beside them is looked at once the balance is found.
            return known
        return self._grown(_anywhere(overlap > -FORESEEN_MM))

    def _missed(self, overlap: Floats, at: Ints, *, all_solved: bool) -> Bools | None:
        """Return which cells are to be taken in since some touch that did not count; None where all that touch did."""
        if len(at) == overlap.shape[1]:
            return None
        # What topples, misses the seat or found no balance is judged with all cells: a start may have foreseen others
        # than those that bear it.
        if not all_solved:
            return np.ones(overlap.shape[1], dtype=bool)
        if not _left_out(overlap > 0.0, at).any():
            return None
        return _anywhere(overlap > -max(FORESEEN_MM, 0.0))

    def _grown(self, wanted: Bools) -> _Touching:
        old = self._touching
        if old is None:
            old = self._touching = self._over(np.flatnonzero(wanted))
            return old
        more = wanted.copy()
        more[old.at] = False
        if more.any():
            new = self._over(np.flatnonzero(more))
            count = len(self.skin)
            backing = Backing(
                *(
                    _side_by_side(getattr(old.backing, name), getattr(new.backing, name), count)
                    for name in ("aside", "above", "radius", "rise")
                )
            )
            distance = _side_by_side(old.distance, new.distance, count)
            old = self._touching = _Touching(np.concatenate([old.at, new.at]), distance, backing)
        return old

    def _over(self, at: Ints) -> _Touching:
        return _Touching(at, *self._backing_over(at))

    def _backing_over(self, at: Ints) -> tuple[Floats, Backing]:
        x, y = self.cells.x_mm[at] - self.at_mm[0], self.cells.y_mm[at] - self.at_mm[1]
        distance, backing = self.seated.held(x, y, self.skin[:, at])
        if self.held is not None:
            own, there = self.held, self.cells.at[at]
            backing = Backing(own.aside[:, there], own.above[:, there], own.radius[:, there], own.rise[there])
        return distance, backing


def _judged(found: Balances, layer: Layer, pressure: Floats, overlap: Floats) -> tuple[str, ...]:
    """Return the verdicts, and one of those whose tissue is pressed further than is known."""
    bed = layer.bed
    assert isinstance(bed, TissueBed)
    most = bed.law.response(np.array(PRESSED_THROUGH), np.array(1.0))[0]
    if not (pressure > (1.0 - 1e-9) * most * bed.modulus.reshape(pressure.shape)).any():
        return found.verdicts
    compressed = bed.compression(overlap.ravel()).reshape(overlap.shape).max(axis=1)
    return tuple(
        TOO_FAR if verdict == CONVERGED and one > PRESSED_THROUGH else verdict
        for verdict, one in zip(found.verdicts, compressed, strict=True)
    )


def _anywhere(touching: Bools) -> Bools:
    """Return which cells any of the bodies touches, of (bodies, n)."""
    return np.asarray(np.logical_or.reduce(touching, axis=0), dtype=bool)


def _left_out(touching: Bools, at: Ints) -> Bools:
    """Return which cells any of the bodies touches, of (bodies, n), besides some."""
    others = _anywhere(touching)
    others[at] = False
    return others


def _solved(found: Balances) -> Bools:
    return np.array([verdict == CONVERGED for verdict in found.verdicts], dtype=bool)


def _side_by_side(old: Floats, new: Floats, bodies: int) -> Floats:
    """Return arrays (k, bodies * m) or (bodies * m,) of two sets of cells as one of both sets."""
    lead = old.shape[:-1]
    both = [one.reshape((*lead, bodies, -1)) for one in (old, new)]
    return np.concatenate(both, axis=-1).reshape((*lead, -1))
