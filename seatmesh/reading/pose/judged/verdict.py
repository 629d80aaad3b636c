"""Whether a way to lay a scan can be the true one, in words where it cannot; and whether one rules another out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from seatmesh.reading.pose.judged.evidence import Evidence
from seatmesh.reading.pose.outline_fit import OutlineFit
from seatmesh.wood.blank import Blank

OUTLINE_MM = 1.0
"""A scan's edge lies off the outline by less, rms: a blank is sawn and shaved to within a millimetre."""
OUTLINE_SEEN = 0.85
SIZE_MM = 1.0
"""A scan is as wide and as long as its blank within this."""
SCALE = 0.0015
"""Wider and longer by the same share, a scan is of another scale: its depths are wrong too, and nothing shows it."""
ALIKE = 0.3
ABOVE_SHARE = 0.05
DECK_SEEN = 0.6
DECK_CARVED = 0.15
DECK_RMS_MM = 1.0
ROUNDED_MM = 0.3
GUTTER_MISSING = 0.2
THICKNESS_MM = 1.0
LEAST_SHARE = 0.01
UNDERSIDE_OFF = 0.15
HOLES_FOUND, HOLES_APART = 0.6, 0.5
CLEARLY = 3.0
"""What speaks against one way is clear where it is so many times what speaks against the other, and more by a step."""


@dataclass(frozen=True)
class PoseLimits:
    """What is asked of a frame: one that the user gave need not lie so exactly on the outline.

    `underside` is False where the user said which way is up: then an underside carved by eye is only noted.
    """

    outline_mm: float = OUTLINE_MM
    outline_seen: float = OUTLINE_SEEN
    underside: bool = True


@dataclass(frozen=True)
class Fault:
    """What cannot be so: a figure that says how badly (1 at the limit), what was found, and what to do."""

    badness: float
    found: str
    todo: str


def faults(seen: Evidence, blank: Blank, limits: PoseLimits) -> tuple[Fault, ...]:
    """Return what speaks against a frame, the worst first; nothing where it can be the true one."""
    found = (
        *_edge_faults(seen, blank, limits),
        *_deck_faults(seen, blank),
        *_wood_faults(seen, blank, limits),
    )
    return tuple(sorted(found, key=lambda fault: -fault.badness))


def _edge_faults(seen: Evidence, blank: Blank, limits: PoseLimits) -> Iterator[Fault]:
    fit = seen.outline
    if fit.seen < limits.outline_seen:
        yield Fault(
            limits.outline_seen / max(fit.seen, LEAST_SHARE),
            f"{fit.seen:.0%} of the blank's outline was seen",
            "scan the seat whole, up to its edges all round, and check that the blank is its own",
        )
    if limits.outline_mm <= OUTLINE_MM:
        yield from _size_faults(fit, seen.edge_mm, blank)
        yield from _scale_faults(fit, seen.edge_mm, blank)
    allowed = limits.outline_mm + seen.edge_mm
    if fit.off_mm > allowed:
        yield Fault(
            fit.off_mm / allowed,
            f"the scan's outline lies {fit.off_mm:.1f} mm off the blank's (rms)",
            "give the order of this very seat, and check its outline",
        )
    if seen.above > ABOVE_SHARE:
        yield Fault(
            seen.above / ABOVE_SHARE,
            f"{seen.above:.0%} of the face stands above the plane of rim and deck",
            "take off what lies on the seat, and scan again",
        )


def _size_faults(fit: OutlineFit, edge_mm: float, blank: Blank) -> Iterator[Fault]:
    allowed = SIZE_MM + 2.0 * edge_mm
    for more, side, words, key in (
        (fit.wider_mm, blank.width_mm, "wide", "width_mm"),
        (fit.longer_mm, blank.depth_mm, "from rear to front", "depth_mm"),
    ):
        if abs(more) > allowed:
            yield Fault(
                abs(more) / allowed,
                f"the scan measures {side + more:.1f} mm {words}, and the blank's {key} is {side:g}",
                "give the order of this very seat, or correct its measures; check the scan's unit and scale; points "
                "that stop short of the edge have to be taken in the blank's own frame (--as-drawn)",
            )


def _scale_faults(fit: OutlineFit, edge_mm: float, blank: Blank) -> Iterator[Fault]:
    wider, longer = fit.wider_mm / blank.width_mm, fit.longer_mm / blank.depth_mm
    share = 0.5 * (wider + longer)
    allowed = SCALE + 2.0 * edge_mm / min(blank.width_mm, blank.depth_mm)
    if abs(share) > allowed and abs(wider - longer) < ALIKE * abs(share):
        yield Fault(
            abs(share) / allowed,
            f"the scan is {abs(share):.1%} {'larger' if share > 0.0 else 'smaller'} than the blank, both ways alike",
            "check the scanner's scale, or the printer's shrinkage, and correct the scan; where the blank itself is so "
            "much larger or smaller, correct its measures in the order",
        )


def _deck_faults(seen: Evidence, blank: Blank) -> Iterator[Fault]:
    if seen.deck_seen is not None and seen.deck_seen < DECK_SEEN:
        yield Fault(
            DECK_SEEN / max(seen.deck_seen, LEAST_SHARE),
            f"{seen.deck_seen:.0%} of the deck was seen, and without it the scan has no level",
            "scan again with the whole deck behind the deck line",
        )
    elif seen.deck_carved is not None and seen.deck_rms_mm is not None:
        badness = max(seen.deck_carved / DECK_CARVED, seen.deck_rms_mm / DECK_RMS_MM)
        if badness > 1.0:
            yield Fault(
                badness,
                f"the wood behind the deck line is not flat: {seen.deck_carved:.0%} of it lies off the rim's plane "
                f"({seen.deck_rms_mm:.1f} mm rms)",
                f"check deck_mm = {blank.deck_mm:g} and the deck line in the order",
            )
    if seen.rounded_mm is not None and seen.rounded_mm > ROUNDED_MM:
        yield Fault(
            seen.rounded_mm / ROUNDED_MM,
            f"the top edge falls by {seen.rounded_mm:.1f} mm beside the outline, and the order's round_over_mm is "
            f"{blank.round_over_mm:g}",
            "compare the wood: if its edge is as the order says, give a finer mesh; else correct round_over_mm there",
        )
    if seen.gutter_missing is not None and seen.gutter_missing > GUTTER_MISSING:
        yield Fault(
            seen.gutter_missing / GUTTER_MISSING,
            f"{seen.gutter_missing:.0%} of the gutter is not as deep as the order's {blank.gutter_depth_mm:g} mm",
            "correct gutter_depth_mm and gutter_width_mm in the order; a depth of 0 is no gutter",
        )


def _wood_faults(seen: Evidence, blank: Blank, limits: PoseLimits) -> Iterator[Fault]:
    if seen.thickness_mm is not None:
        off = abs(seen.thickness_mm - blank.thickness_mm) / THICKNESS_MM
        if off > 1.0:
            yield Fault(
                off,
                f"the scan is {seen.thickness_mm:.1f} mm thick, and the blank's thickness_mm is {blank.thickness_mm:g}",
                "give the order of this very seat, or correct thickness_mm, from which the floor is reckoned; take "
                "away what stands under the seat in the scan",
            )
    if limits.underside and seen.underside_off is not None and seen.underside_off > UNDERSIDE_OFF:
        yield Fault(
            seen.underside_off / UNDERSIDE_OFF,
            f"{seen.underside_off:.0%} of the underside is not where the blank's is, bevel and joints included",
            "check bevel and joints in the order; where the underside was shaped by eye, say which way is up in the "
            "file's axes: --up=X,Y,Z",
        )


def excludes(one: Evidence, other: Evidence, blank: Blank) -> bool:
    """Tell whether one frame is so much better borne out that the other cannot be the true one."""
    thickness = [abs((seen.thickness_mm or blank.thickness_mm) - blank.thickness_mm) for seen in (one, other)]
    pairs: list[tuple[float | None, float | None, float]] = [
        (one.outline.off_mm, other.outline.off_mm, 0.5),
        (one.deck_carved, other.deck_carved, 0.1),
        (one.gutter_missing, other.gutter_missing, 0.3),
        (one.underside_off, other.underside_off, 0.1),
        (thickness[0], thickness[1], 0.5),
    ]
    if any(a is not None and b is not None and b > a + step and b > CLEARLY * a for a, b, step in pairs):
        return True
    return holes_tell(one.holes_found, other.holes_found)


def holes_tell(one: float | None, other: float | None) -> bool:
    """Tell whether mortises were found open in one frame and not in the other."""
    return one is not None and other is not None and one >= HOLES_FOUND and one > other + HOLES_APART
