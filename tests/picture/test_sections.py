"""Sections: cut where they say, at the scale they state, with the depths of the seat itself."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from matplotlib.colors import to_rgb
from numpy.typing import NDArray

from seatmesh.errors import ValueRefusedError
from seatmesh.picture.section.section_lines import depth_marks
from seatmesh.picture.section.section_planes import section_planes
from seatmesh.picture.section.sections import sections
from seatmesh.picture.section_cut import cut
from seatmesh.picture.style import BONE, DPI, SKIN, WOOD_CUT, Target
from seatmesh.seating.sitting import Sitting
from seatmesh.spline import BicubicSpline, clamped_knots
from seatmesh.station import Station, stations
from seatmesh.surface import Seat, flat_seat
from seatmesh.units import MM_PER_INCH
from seatmesh.wood.blank import Blank

Pixels = NDArray[np.int16]
Drawn = Callable[[Callable[[Target], None]], Pixels]


def _count(pixels: Pixels, colour: str) -> int:
    return int(np.all(np.abs(pixels - 255.0 * np.asarray(to_rgb(colour))) <= 3, axis=-1).sum())


def test_sections_pass_through_the_sit_bones(seat: Seat, sitting: Sitting) -> None:
    planes = section_planes(seat, sitting)
    bones = [plane for plane in planes if "sit bone" in plane.words]
    assert [plane.runs for plane in bones] == ["across", "along"]
    assert abs(bones[0].at_mm - 165.0) <= 2.0
    assert abs(bones[1].at_mm - 57.0) <= 2.0
    assert not bones[1].letter
    assert [plane.runs for plane in planes] == ["across"] * 3 + ["along"] * 2
    assert planes[3].at_mm == 0.0


def test_a_letter_in_a_picture_is_the_seat_s_own(seat: Seat, sitting: Sitting) -> None:
    """With a sitter, without one, and for a sitter who sits elsewhere: letters as the cards have them."""
    own = {one.letter: (one.runs, one.at_mm) for one in stations(seat)}
    moved = replace(sitting, y_mm=sitting.y_mm + 31.0, x_mm=sitting.x_mm + 9.0)
    for who in (None, sitting, moved):
        planes = section_planes(seat, who)
        assert len([one for one in planes if one.letter]) >= 3
        assert all(own[one.letter] == (one.runs, one.at_mm) for one in planes if one.letter)
        assert len({one.name for one in planes}) == 5


def test_without_a_sitter_they_pass_through_the_deepest_place(seat: Seat) -> None:
    across, *_, along = section_planes(seat, None)
    x, y = np.arange(0.0, 240.0), np.arange(51.0, 410.0)
    depth = seat.depth_mm(x[None, :], y[:, None])
    assert (
        depth.max() - float(seat.depth_mm(along.at_mm, across.at_mm)) < 0.05
    )  # stations stand on whole 5 mm


def test_a_flat_seat_has_sections_too(drawn: Drawn) -> None:
    pixels = drawn(lambda to: sections(flat_seat(), None, to))
    assert pixels.shape[1] == 1240
    assert _count(pixels, SKIN) == 0


def test_cut_follows_the_seat_between_the_edges_of_its_outline() -> None:
    """Where a corner of 60 mm radius is rounded, half the width is 180 + sqrt(60^2 - 35^2) mm."""
    seat = Seat(front_roll_mm=20.0)
    lines = cut(seat, None, Station("C", "across", 405.0))
    half = 180.0 + np.sqrt(60.0**2 - 35.0**2)
    assert lines.s_mm[0] == pytest.approx(-half, abs=0.05)
    assert lines.s_mm[-1] == pytest.approx(half, abs=0.05)
    along = cut(seat, None, Station("D", "along", 0.0))
    assert np.array_equal(along.surface_mm, -seat.depth_mm(0.0, along.s_mm))
    assert along.surface_mm.min() == pytest.approx(-10.0)  # a roll of 20 mm turns through 60 degrees
    assert np.isnan(along.skin_mm).all()


def test_cut_keeps_the_sheer_edge_at_the_deck_line() -> None:
    blank = Blank()
    knots = clamped_knots(-240.0, 240.0, 6), clamped_knots(50.0, 430.0, 6)
    seat = Seat(blank=blank, hollow=BicubicSpline(*knots, np.full((9, 9), 5.0)))
    lines = cut(seat, None, Station("D", "along", 0.0))
    drop = np.flatnonzero(np.diff(lines.surface_mm) < -4.9)
    assert len(drop) == 1
    assert np.diff(lines.s_mm)[drop[0]] < 1e-3
    assert lines.s_mm[drop[0]] == blank.deck_mm


def test_wood_is_left_down_to_the_bevel_not_to_the_lower_face() -> None:
    """At the front edge on the centre line a bevel 12 mm high and a roll falling 10 mm leave 45 - 12 - 10 mm."""
    seat = Seat(Blank(under_bevel_width_mm=40.0, under_bevel_height_mm=12.0), front_roll_mm=20.0)
    lines = cut(seat, None, Station("D", "along", 0.0))
    assert lines.underside_mm[0] == pytest.approx(-33.0)
    assert np.interp(20.0, lines.s_mm, lines.underside_mm) == pytest.approx(
        -39.0
    )  # half of the bevel's width in
    assert np.interp(215.0, lines.s_mm, lines.underside_mm) == pytest.approx(-45.0)
    assert lines.least_wood_mm == pytest.approx(23.0)


def test_sitter_is_read_at_the_section(seat: Seat, sitting: Sitting) -> None:
    """Between two rows of the grid skin is what a plane through four neighbours says."""
    x, y = sitting.x_mm[None, :], sitting.y_mm[:, None]
    plane = replace(sitting, skin_mm=3.0 + 0.1 * x + 0.2 * y, bone_mm=np.where(x > 20.0, 9.0, np.inf) + 0 * y)
    lines = cut(seat, plane, Station("A", "across", 165.3))
    inside = np.abs(lines.s_mm) < 230.0
    assert np.allclose(lines.skin_mm[inside], 3.0 + 0.1 * lines.s_mm[inside] + 0.2 * 165.3)
    assert np.isnan(lines.bone_mm[lines.s_mm < 17.0]).all()
    assert np.allclose(lines.bone_mm[(lines.s_mm > 23.0) & inside], 9.0)


def test_depth_figures_are_the_seats_own(seat: Seat, sitting: Sitting) -> None:
    planes = section_planes(seat, sitting)
    for station in planes:
        marks = depth_marks(cut(seat, sitting, station), station, planes, 3.0)
        assert len(marks) >= 2
        for s, depth, _ in marks:
            x, y = (s, station.at_mm) if station.runs == "across" else (station.at_mm, s)
            assert depth == pytest.approx(float(seat.depth_mm(x, y)), abs=0.02)
        places = sorted(s for s, _, _ in marks)
        assert np.all(np.diff(places) >= 36.0)
    letters = [letter for _, _, letter in depth_marks(cut(seat, None, planes[4]), planes[4], planes, 3.0)]
    assert letters[:3] == [plane.letter for plane in planes if plane.runs == "across"]


@pytest.mark.parametrize(("width", "scale"), [(480.0, 3.0), (330.0, 2.5), (600.0, 4.0)])
def test_wood_is_drawn_to_the_stated_scale(drawn: Drawn, width: float, scale: float) -> None:
    """The first section's wood, width and thickness, on the sheet in dots of 1/150 inch."""
    blank = Blank(width_mm=width, depth_mm=min(width, 430.0), outline="straight-sided")
    pixels = drawn(lambda to: sections(Seat(blank=blank), None, to))
    wood = np.all(np.abs(pixels - 255.0 * np.asarray(to_rgb(WOOD_CUT))) <= 3, axis=-1)
    rows = np.flatnonzero(wood.sum(axis=1) > 0.3 * wood.sum(axis=1).max())
    first = rows[: int(np.flatnonzero(np.diff(rows) > 20)[0]) + 1]
    columns = np.flatnonzero(wood[first[0] : first[-1]].any(axis=0))
    dots = DPI / MM_PER_INCH / scale
    assert columns[-1] - columns[0] == pytest.approx(width * dots, abs=5)
    assert first[-1] - first[0] == pytest.approx(
        blank.thickness_mm * dots - 3.5, abs=3.5
    )  # less its edge's ink


def test_sitter_is_drawn_and_bytes_are_the_same(seat: Seat, sitting: Sitting, drawn: Drawn) -> None:
    pixels = drawn(lambda to: sections(seat, sitting, to))
    assert pixels.shape[1] == 1240
    assert len(pixels) <= 1754
    assert _count(pixels, SKIN) > 1000
    assert _count(pixels, BONE) > 100
    first, again = BytesIO(), BytesIO()
    sections(seat, sitting, first)
    sections(seat, sitting, again)
    assert first.getvalue() == again.getvalue()
    in_inches = drawn(lambda to: sections(seat, sitting, to, units="in"))
    assert not np.array_equal(pixels, in_inches)
    assert np.array_equal(in_inches, drawn(lambda to: sections(replace(seat, units="in"), sitting, to)))


def test_refuses_other_units(seat: Seat, tmp_path: Path) -> None:
    with pytest.raises(ValueRefusedError, match="allowed are mm, in"):
        sections(seat, None, tmp_path / "sections.png", units="ft")
