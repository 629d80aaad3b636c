"""Read a carved or scanned seat back into a seat."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from seatmesh.chair import Chair
from seatmesh.errors import FileRefusedError, ValueRefusedError
from seatmesh.fit.robust_spline import RobustFit, best_fairness_mm, lay_out, robust_fit
from seatmesh.formats.length_unit import MM_PER, refuse_implausible, unit_of
from seatmesh.formats.scan_contents import Raw
from seatmesh.formats.scan_file import read_raw
from seatmesh.front_roll import front_roll_depth
from seatmesh.reading.coverage import coverage
from seatmesh.reading.front_roll import LARGEST_MM, front_roll_mm
from seatmesh.reading.outline_match import frame_by_outline
from seatmesh.reading.placing import (
    AsDrawn,
    Frame,
    Placing,
    RimPlane,
    RimPoints,
    checked_points,
    frame_along,
    plane_through,
)
from seatmesh.reading.rim_plane import best_rim_plane
from seatmesh.reading.strays import Cleaned, without_strays
from seatmesh.reading.surface_points import STEP_MM, Face, carved_face, sampled
from seatmesh.surface import Seat
from seatmesh.units import real_number
from seatmesh.wood.blank import Blank

Floats = NDArray[np.float64]

FAIRNESS_MM = (1.0, 2.0, 3.0)
FARTHEST_MM = 1e5
LEAST_COVERAGE = 0.4
WIDE_HOLE_MM = 40.0
OUTLIER_WEIGHT = 0.05


@dataclass(frozen=True)
class Carved:
    """A seat read back, and how far to trust it.

    Attributes
    ----------
    seat
        The seat.
    unit
        Unit of the file.
    points_used, outliers
        Points of the carved face, one to 2 mm; how many of them stand so far off that they were left out.
    residual_rms_mm, residual_95_mm
        Distance straight up between points and seat, outliers left out: rms, and what 95 % keep within.
    noise_mm
        Scatter of the points about the seat by their median.
    coverage
        Share of the face ahead of the deck line that has a point nearby.
    widest_hole_mm
        Diameter of the widest hole, which was bridged fairly.
    deck_rms_mm
        How far the deck lies off the rim's plane, rms; None where none was seen.
    strays, stray_points
        Parts and points that were left out because they do not hang together with the seat.
    frame
        Where the blank's frame lies in the file: origin in mm, axes as rows.
    notes
        What a maker should look at, in words.
    """

    seat: Seat
    unit: str
    points_used: int
    outliers: int
    residual_rms_mm: float
    residual_95_mm: float
    noise_mm: float
    coverage: float
    widest_hole_mm: float
    deck_rms_mm: float | None
    strays: int
    stray_points: int
    frame: Frame
    notes: tuple[str, ...]


def read_carved(
    path: str | Path,
    blank: Blank,
    *,
    unit: str | None = None,
    placing: Placing | None = None,
    chair: Chair | None = None,
    front_roll_radius_mm: float | None = None,
    title: str = "read back",
    units: str = "mm",
) -> Carved:
    """Read a carved or scanned seat: STL, OBJ, PLY, 3MF, or a list of points.

    Parameters
    ----------
    blank
        The blank that it was carved from: its outline, thickness and deck.
    unit
        "mm", "in", "m" or "cm". It has to be given unless the file says it itself (3MF, or a list's "x_mm").
    placing
        How the scan is laid into the frame of the blank: `RimPlane` (when None), `RimPoints` or `AsDrawn`.
    front_roll_radius_mm
        Radius of the front roll; None finds it.

    Raises
    ------
    FileRefusedError
        The file is damaged, empty, too large, or shows too little of the carved face.
    ValueRefusedError
        The unit is missing, none, or cannot be meant; or the scan cannot be laid into the frame.
    """
    _refuse_radius(front_roll_radius_mm)
    where = f"scan '{path}'"
    raw = read_raw(path)
    own_unit = unit_of(raw, unit, where)
    clean, points = _cleaned(raw, own_unit, blank, where)
    spread = sampled(points, clean.raw.faces, STEP_MM) if len(clean.raw.faces) else points
    frame = _frame(spread, placing if placing is not None else RimPlane(), MM_PER[own_unit], blank)
    face = carved_face(clean.raw, frame.into(points), blank)
    seen, hole = coverage(face, blank)
    if seen < LEAST_COVERAGE:
        raise FileRefusedError(
            f"{where} shows {100.0 * seen:.0f} % of the carved face; "
            f"at least {100.0 * LEAST_COVERAGE:.0f} % are needed; check unit, placing and blank, or scan again."
        )
    radius = front_roll_mm(face, blank) if front_roll_radius_mm is None else front_roll_radius_mm
    fit = _fitted(face, blank, radius)
    seat = Seat(blank, chair or Chair(), fit.spline, radius, title, units)
    off = seat.depth_mm(face.x_mm, face.y_mm) - face.depth_mm
    sound = fit.weight > OUTLIER_WEIGHT
    return Carved(
        seat=seat,
        unit=own_unit,
        points_used=len(off),
        outliers=int(np.count_nonzero(~sound)),
        residual_rms_mm=float(np.sqrt(np.mean(off[sound] ** 2))),
        residual_95_mm=float(np.quantile(np.abs(off[sound]), 0.95)),
        noise_mm=fit.sigma_mm,
        coverage=seen,
        widest_hole_mm=hole,
        deck_rms_mm=face.deck_rms_mm,
        strays=clean.parts_dropped,
        stray_points=clean.points_dropped,
        frame=frame,
        notes=_notes(seat, face, hole, fit),
    )


def _cleaned(raw: Raw, unit: str, blank: Blank, where: str) -> tuple[Cleaned, Floats]:
    """Return a scan without its strays, and its points in mm."""
    if np.abs(raw.points).max() * MM_PER[unit] > FARTHEST_MM:
        raise FileRefusedError(
            f"{where}: a point lies more than {FARTHEST_MM / 1000.0:g} m from the origin; move the scan there."
        )
    clean = without_strays(raw)
    refuse_implausible(_spans(clean.raw.points), unit, blank, where)
    return clean, clean.raw.points * MM_PER[unit]


def _refuse_radius(given: float | None) -> None:
    if given is not None and not 0.0 <= real_number("front_roll_radius_mm", given) <= LARGEST_MM:
        raise ValueRefusedError(
            "front_roll_radius_mm",
            given,
            f"allowed is 0 to {LARGEST_MM:g} mm",
            "leave it out to have it found",
        )


def _spans(points: Floats) -> Floats:
    """Return the extents of all points but the farthest few in a thousand."""
    low, high = np.quantile(points, [0.001, 0.999], axis=0)
    return np.asarray(high - low)


def _frame(points: Floats, placing: Placing, mm: float, blank: Blank) -> Frame:
    """Return where the blank lies among points in mm."""
    if isinstance(placing, AsDrawn):
        return Frame(np.zeros(3), np.eye(3))
    if isinstance(placing, RimPoints):
        plane = plane_through(mm * checked_points(placing.rim, 3, "rim"), points)
        line = placing.centre_line
    else:
        if len(points) < 100:
            raise ValueRefusedError(
                "placing",
                "rim plane",
                f"{len(points)} points are too few to find a plane",
                "give three rim points",
            )
        plane = best_rim_plane(points, blank)
        if placing.centre_line is None:
            return frame_by_outline(points, plane, blank)
        line = placing.centre_line
    rear, front = mm * checked_points(line, 2, "centre_line")
    return frame_along(plane, rear, front)


def _fitted(face: Face, blank: Blank, radius: float) -> RobustFit:
    layout = lay_out(face.x_mm, face.y_mm, 0.5 * blank.width_mm, blank.hollow_start_mm, blank.depth_mm)
    below = face.depth_mm - front_roll_depth(blank.depth_mm - face.y_mm, radius)
    first = robust_fit(layout, below, FAIRNESS_MM[0])
    fairness = best_fairness_mm(layout, below, first, FAIRNESS_MM)
    return first if fairness == FAIRNESS_MM[0] else robust_fit(layout, below, fairness)


def _notes(seat: Seat, face: Face, hole: float, fit: RobustFit) -> tuple[str, ...]:
    notes = []
    deepest = float(seat.depth_mm(face.x_mm, face.y_mm).max())
    if deepest > seat.blank.greatest_depth_mm:
        left = seat.blank.thickness_mm - deepest
        notes.append(
            f"at its deepest {left:.1f} mm of wood are left; the floor asks for {seat.blank.floor_mm:g} mm"
        )
    if hole > WIDE_HOLE_MM:
        notes.append(f"a hole of {hole:.0f} mm was bridged: check the depth there with a gauge")
    if face.deck_rms_mm is None:
        notes.append("no deck was seen behind the deck line")
    elif face.deck_rms_mm > 0.5:
        notes.append(f"the deck lies {face.deck_rms_mm:.1f} mm off the rim's plane: check placing and deck")
    if not fit.settled:
        notes.append("the fit had not quite come to rest; compare a few depths with a gauge")
    return tuple(notes)


__all__ = ["AsDrawn", "Carved", "RimPlane", "RimPoints", "read_carved"]
