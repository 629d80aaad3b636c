"""How sure the depths of a scan are: what its own wood tells of its errors, and what nothing in it tells."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.errors import FileRefusedError
from seatmesh.reading.pose.judged.evidence import Plan
from seatmesh.reading.quality.bend import Bend, bend
from seatmesh.reading.quality.one_sided import one_sided_mm
from seatmesh.reading.quality.waviness import MOST_OFF_MM, DeckOff, waviness
from seatmesh.surface import Seat

SCALE_SHARE = 0.01
"""How far a scanner's scale along the depth may be off that of width and length, where no thickness was seen. From
memory: phones and depth cameras are said to measure distances within 1 %; calibrated scanners do far better."""
THICKNESS_MM = 0.3
"""How well a planed blank and its order agree."""
TOLD_WAVES_MM, TOLD_SIGMAS = 0.05, 0.15
"""Rim that is wavier than this, and than scatter makes it, is carved to the edge: it tells of no bend."""
STEP_MM = 6.0


@dataclass(frozen=True)
class Sureness:
    """What may be wrong with depths that were read, mm rms over the face ahead of the deck line.

    Attributes
    ----------
    deck
        How far the deck is from flat.
    rim_bend_mm
        What the bend of deck and rim makes of the depths; None where too little uncut wood was seen.
    one_sided_mm
        How far scatter that goes one way moves the depths.
    error_mm
        What the scatter of the points leaves unsure.
    scale_share, scale_mm
        How far the scale along the depth may be off, and what that makes of the depths.
    """

    deck: DeckOff
    rim_bend_mm: float | None
    one_sided_mm: float
    error_mm: float
    scale_share: float
    scale_mm: float

    @property
    def off_mm(self) -> float:
        """All that the scan itself tells, together."""
        bent = max(self.deck.bend_mm, self.rim_bend_mm or 0.0)
        return float(np.linalg.norm((self.deck.waves_mm, bent, self.one_sided_mm, self.error_mm)))

    @property
    def within_mm(self) -> float:
        """Depths are right within this in most places: twice all that is told, and the scale besides."""
        return 2.0 * float(np.hypot(self.off_mm, self.scale_mm))


def sureness(laid: Floats, seat: Seat, plan: Plan, scatter_mm: float, error_mm: float,
             thickness_mm: float | None) -> Sureness:  # fmt: skip
    """Return how sure the depths of a seat are that was read from points in the frame of the blank, shape (n, 3)."""
    share = (
        SCALE_SHARE if thickness_mm is None else _scale_by_thickness(thickness_mm, seat.blank.thickness_mm)
    )
    bent = bend(laid, plan, seat.roll_start_mm, scatter_mm)
    return Sureness(
        deck=waviness(laid, plan),
        rim_bend_mm=bent.mm if _is_told(bent, scatter_mm) else None,
        one_sided_mm=one_sided_mm(laid, seat),
        error_mm=error_mm,
        scale_share=share,
        scale_mm=share * _deep_mm(seat),
    )


def _scale_by_thickness(seen_mm: float, ordered_mm: float) -> float:
    return float(np.hypot(seen_mm - ordered_mm, THICKNESS_MM)) / ordered_mm


def _is_told(bent: Bend, scatter_mm: float) -> bool:
    return bent.error_mm < 0.5 * MOST_OFF_MM and bent.waves_mm < TOLD_WAVES_MM + TOLD_SIGMAS * scatter_mm


def _deep_mm(seat: Seat) -> float:
    """Return the depth of the face ahead of the deck line, rms."""
    polygon = seat.blank.polygon_mm()
    (left, rear), (right, front) = polygon.min(axis=0), polygon.max(axis=0)
    x, y = np.meshgrid(np.arange(left, right, STEP_MM), np.arange(rear, front, STEP_MM))
    own = (seat.blank.inside_mm(x, y) > 0.0) & (seat.blank.ahead_of_deck_mm(x, y) > 0.0)
    return float(np.sqrt(np.mean(seat.depth_mm(x[own], y[own]) ** 2))) if own.any() else 0.0


def sureness_notes(found: Sureness) -> tuple[str, ...]:
    """Say what nothing in the scan tells."""
    words = []
    if found.scale_mm > 0.0 and found.scale_share >= SCALE_SHARE:
        words.append(
            f"depths are only as good as the scanner's scale along them: if that is off by {found.scale_share:.1%}, "
            f"they are wrong by {found.scale_mm:.2f} mm rms, most where it is deepest; check the deepest place with a "
            "gauge, or scan the underside too"
        )
    if found.rim_bend_mm is None:
        words.append(
            "too little uncut rim was seen to tell whether the scan is bent from rear to front: check a depth at the "
            "front and one in the middle with a gauge"
        )
    return tuple(words)


def refuse_unsure(found: Sureness, where: str) -> None:
    """Refuse a scan whose waves, bend and scatter together leave its depths less sure than is allowed.

    Raises
    ------
    FileRefusedError
        With how wavy or bent the uncut wood comes out, or how much its points scatter.
    """
    if found.off_mm <= MOST_OFF_MM:
        return
    deck, rim = found.deck, found.rim_bend_mm or 0.0
    most = max(deck.waves_mm, deck.bend_mm, rim, found.one_sided_mm, found.error_mm)
    if deck.waves_mm == most:
        raise FileRefusedError(
            f"{where} shows the flat wood of the deck wavy by {most:.2f} mm rms, and its hollow is no better; allowed "
            f"is {MOST_OFF_MM:g} mm; scan again from nearer and in fewer pieces, or read the seat with a gauge."
        )
    if most in (deck.bend_mm, rim):
        what = "deck" if deck.bend_mm == most else "uncut wood of deck and rim"
        raise FileRefusedError(
            f"{where} shows the {what} bent, which would make the depths wrong by {most:.2f} mm rms; allowed is "
            f"{MOST_OFF_MM:g} mm; lay a straightedge on it: if the wood is straight, scan again in fewer pieces, "
            "and if it has cupped, read the seat with a gauge."
        )
    if found.one_sided_mm == most:
        raise FileRefusedError(
            f"{where}: its points scatter farther to one side than to the other in the hollow, and not so on the flat "
            f"wood, which would make the depths wrong by about {most:.2f} mm; allowed is {MOST_OFF_MM:g} mm; take off "
            "dust or cloth, matt a shiny finish, and scan again, or read the seat with a gauge."
        )
    raise FileRefusedError(
        f"{where}: its points scatter so much, and are so few, that its depths are sure within {most:.2f} mm rms; "
        f"allowed is {MOST_OFF_MM:g} mm; scan again from nearer and closer together, or read the seat with a gauge."
    )
