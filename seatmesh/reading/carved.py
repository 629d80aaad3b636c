"""Read a carved or scanned seat back into a seat."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.chair import Chair
from seatmesh.errors import FileRefusedError, ValueRefusedError
from seatmesh.formats.length_unit import MM_PER, unit_of
from seatmesh.formats.scan_contents import Raw
from seatmesh.formats.scan_file import read_raw
from seatmesh.reading.doubts import covered, refuse_one_flat_face, refuse_unlike_seat
from seatmesh.reading.face_fit import fit_face
from seatmesh.reading.find_front_roll import LARGEST_MM, front_roll_mm
from seatmesh.reading.handedness import check_hand
from seatmesh.reading.left_out import Patch, patch_words, patches
from seatmesh.reading.notes import beneath_notes, notes_on
from seatmesh.reading.placing import AsDrawn, Frame, Placing, RimPlane, RimPoints
from seatmesh.reading.pose.given import given_pose, rim_of_points
from seatmesh.reading.pose.judged.evidence import Evidence, Plan
from seatmesh.reading.pose.judged.refusals import refuse_scatter
from seatmesh.reading.pose.samples import border_samples, surface_samples, thinned
from seatmesh.reading.pose.search import find_pose
from seatmesh.reading.pose.toward import Toward
from seatmesh.reading.quality.doubled import refuse_doubled
from seatmesh.reading.quality.sureness import refuse_unsure, sureness, sureness_notes
from seatmesh.reading.scan_size import refuse_implausible_size
from seatmesh.reading.strays import Cleaned, spacing_of, with_specks, without_strays
from seatmesh.reading.surface_points import Face, carved_face
from seatmesh.reading.surroundings import plane_notes, without_surroundings
from seatmesh.surface import Seat
from seatmesh.units import real_number
from seatmesh.wood.blank import Blank

FARTHEST_MM = 1e5
ROLL_UNSEEN = (
    "the last few millimetres before the front edge were not seen closely: a front roll is not told, and none is "
    "taken; state its radius by --front-roll-mm (front_roll_radius_mm), 0 for none"
)
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
    noise_mm, error_mm
        Scatter of the points about the seat by their median; the standard error of the seat that this leaves, rms.
    sure_within_mm
        What depths are right within in most places, by all that the scan tells of its errors and by a scale along the
        depth that may be 1 % off where no underside was seen.
    coverage
        Share of the face ahead of the deck line that has a point nearby.
    widest_hole_mm
        Diameter of the widest hole, which was bridged fairly.
    deck_rms_mm
        How far the deck lies off the rim's plane, rms; None where the blank has none to speak of.
    outline_rms_mm
        How far the scan's edge lies off the blank's outline, rms.
    thickness_mm
        From the rim's plane to the underside; None where no underside was seen.
    patches
        Where the scan lies off the seat and was not followed.
    strays, stray_points
        Parts and points that were left out because they do not hang together with the seat.
    frame
        Where the blank's frame lies in the file: origin in mm, axes as rows.
    notes
        What a maker should look at, in words.
    face
        The points of the carved face that were seen, for `seatmesh.reading.quality`.

    Examples
    --------
    >>> from seatmesh import AsDrawn, Adjustment, Seat, read_carved, solid, write_mesh
    >>> seat = Seat(adjustments=(Adjustment(40.0, 200.0, 120.0, 10.0),))
    >>> write_mesh(solid(seat, tolerance_mm=1.0), "scan.stl")
    >>> got = read_carved("scan.stl", seat.blank, unit="mm", placing=AsDrawn())
    >>> got.outliers, got.widest_hole_mm < 30.0
    (0, True)
    """

    seat: Seat
    unit: str
    points_used: int
    outliers: int
    residual_rms_mm: float
    residual_95_mm: float
    noise_mm: float
    error_mm: float
    sure_within_mm: float
    coverage: float
    widest_hole_mm: float
    deck_rms_mm: float | None
    outline_rms_mm: float
    thickness_mm: float | None
    patches: tuple[Patch, ...]
    strays: int
    stray_points: int
    frame: Frame
    notes: tuple[str, ...]
    face: Face


def read_carved(
    path: str | Path,
    blank: Blank,
    *,
    unit: str | None = None,
    scale: float = 1.0,
    up: object = None,
    front: object = None,
    placing: Placing | None = None,
    chair: Chair | None = None,
    front_roll_radius_mm: float | None = None,
    title: str = "read back",
    units: str = "mm",
) -> Carved:
    """Read a carved or scanned seat: a mesh or a list of points (see `seatmesh.formats.registry`).

    Only what lies uppermost counts. How the seat lies in the file is found: both faces up and all turns are tried, and
    one has to be borne out by outline, deck, gutter and underside, or the scan is refused.

    Parameters
    ----------
    blank
        The blank that it was carved from: its outline, thickness and deck.
    unit
        "mm", "in", "m" or "cm". It has to be given unless the file says it itself (3MF, or a list's "x_mm").
    scale
        Of a model: 0.25 is 1:4.
    up, front
        Directions in the file's axes, three numbers each, that point up out of the carved face and to the front edge;
        they settle what the scan leaves open.
    placing
        How the scan is laid into the frame of the blank: found when None; `RimPlane` with a centre line, `RimPoints`
        or `AsDrawn`. What is given is checked all the same.
    front_roll_radius_mm
        Radius of the front roll; None finds it.

    Raises
    ------
    FileRefusedError
        The file is damaged, empty or too large, shows too little of the carved face or scatters too much.
    ValueRefusedError
        The unit is missing, none, or cannot be meant; or the scan is not this blank, or may lie in several ways.

    Examples
    --------
    >>> from seatmesh import Adjustment, Seat, read_carved, solid, write_mesh
    >>> seat = Seat(adjustments=(Adjustment(0.0, 200.0, 120.0, 10.0),))
    >>> write_mesh(solid(seat, tolerance_mm=1.0), "scan.stl")
    >>> got = read_carved("scan.stl", seat.blank, unit="mm", up=(0, 0, 1), front=(0, 1, 0))
    >>> round(float(got.seat.depth_mm(0.0, 200.0)), 1), got.coverage > 0.99
    (10.0, True)
    """
    _refuse_radius(front_roll_radius_mm)
    toward = Toward.of(up, front)
    where = f"scan '{path}'"
    raw = read_raw(path)
    own_unit = unit_of(raw, unit, where)
    clean, planes = _cleaned(raw, own_unit, scale, blank, where)
    points = clean.raw.points * (MM_PER[own_unit] / scale)
    spacing = 0.0 if len(clean.raw.faces) else spacing_of(points)
    plan = Plan.of(blank, spacing)
    try:
        seen = _pose(clean.raw, points, placing, MM_PER[own_unit] / scale, plan, toward, where)
    except ValueRefusedError as refusal:
        raise with_specks(refusal, clean, planes) from refusal
    laid = seen.frame.into(points)
    face = carved_face(clean.raw, laid, blank, plan.places, spacing, seen.scatter_mm)
    share, hole = covered(face, plan, where)
    told = front_roll_mm(face, blank) if front_roll_radius_mm is None else front_roll_radius_mm
    radius = told or 0.0
    fit = fit_face(face, blank, radius, seen.scatter_mm)
    seat = Seat(blank, chair or Chair(), fit.spline, radius, title, units)
    off = face.depth_mm - seat.depth_mm(face.x_mm, face.y_mm)
    refuse_scatter(max(fit.sigma_mm, seen.scatter_mm), where)
    refuse_doubled(laid, seat, where)
    sure = sureness(laid, seat, plan, fit.sigma_mm, fit.error_mm, seen.thickness_mm)
    refuse_unsure(sure, where)
    left_out = patches(seat, face, fit.sigma_mm)
    refuse_unlike_seat(left_out, blank, where)
    refuse_one_flat_face(face, seen, toward, where)
    sound = fit.weight > OUTLIER_WEIGHT
    return Carved(
        seat=seat,
        unit=own_unit,
        points_used=len(off),
        outliers=int(np.count_nonzero(~sound)),
        residual_rms_mm=float(np.sqrt(np.mean(off[sound] ** 2))),
        residual_95_mm=float(np.quantile(np.abs(off[sound]), 0.95)),
        noise_mm=fit.sigma_mm,
        error_mm=fit.error_mm,
        sure_within_mm=sure.within_mm,
        coverage=share,
        widest_hole_mm=hole,
        deck_rms_mm=seen.deck_rms_mm,
        outline_rms_mm=seen.outline.off_mm,
        thickness_mm=seen.thickness_mm,
        patches=left_out,
        strays=clean.parts_dropped,
        stray_points=clean.points_dropped,
        frame=seen.frame,
        notes=(
            *notes_on(seat, face, hole, fit, seen),
            *sureness_notes(sure),
            *((ROLL_UNSEEN,) if told is None else ()),
            *plane_notes(planes),
            *beneath_notes(laid, blank),
            *check_hand(seat, seen, face.looking_up, fit.sigma_mm, where, toward.up is not None),
            *patch_words(left_out),
        ),
        face=face,
    )


def _cleaned(raw: Raw, unit: str, scale: float, blank: Blank, where: str) -> tuple[Cleaned, int]:
    """Return a scan without its surroundings and strays, and how many planes were cut away."""
    if np.abs(raw.points).max() * MM_PER[unit] > FARTHEST_MM:
        raise FileRefusedError(
            f"{where}: a point lies more than {FARTHEST_MM / 1000.0:g} m from the origin; move the scan there."
        )
    cleared = without_surroundings(raw, MM_PER[unit] / scale, blank)
    clean = without_strays(cleared.raw)
    refuse_implausible_size(clean.raw.points, unit, scale, blank, where)
    return replace(clean, points_dropped=clean.points_dropped + cleared.points_cut), cleared.planes


def _refuse_radius(given: float | None) -> None:
    if given is not None and not 0.0 <= real_number("front_roll_radius_mm", given) <= LARGEST_MM:
        raise ValueRefusedError(
            "front_roll_radius_mm",
            given,
            f"allowed is 0 to {LARGEST_MM:g} mm",
            "leave it out to have it found",
        )


def _pose(
    raw: Raw, points: Floats, placing: Placing | None, mm: float, plan: Plan, toward: Toward, where: str
) -> Evidence:
    """Return where the blank lies among points in mm, and what speaks for it."""
    samples = thinned(surface_samples(points, raw.faces))
    if len(raw.faces):
        samples = np.vstack([samples, border_samples(points, raw.faces)])
    if placing is None:
        return find_pose(thinned(points), samples, plan, toward, where)
    if isinstance(placing, RimPoints) and placing.centre_line is None:
        picked = rim_of_points(placing, points, mm)
        return find_pose(thinned(points), samples, plan, toward, where, picked)
    return given_pose(points, samples, placing, mm, plan, toward, where)


__all__ = ["AsDrawn", "Carved", "RimPlane", "RimPoints", "read_carved"]
