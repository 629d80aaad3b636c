"""The parts of the search for the pose, each against figures from elsewhere: closed forms, or how it was made."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from seatmesh.errors import InputError
from seatmesh.place_words import roughly
from seatmesh.reading.doubts import refuse_unlike_seat
from seatmesh.reading.face_fit import fit_face
from seatmesh.reading.handedness import is_even
from seatmesh.reading.left_out import Patch, patch_words, patches
from seatmesh.reading.placing import Frame
from seatmesh.reading.pose.joint_places import joint_places
from seatmesh.reading.pose.judged.evidence import Evidence, Plan
from seatmesh.reading.pose.judged.refusals import direction_words, refuse_scatter
from seatmesh.reading.pose.judged.verdict import PoseLimits, excludes, faults
from seatmesh.reading.pose.layers import layers
from seatmesh.reading.pose.level import levelled
from seatmesh.reading.pose.outline_fit import OutlineFit, fit_outline, greatest_of
from seatmesh.reading.pose.rim_planes import rim_planes
from seatmesh.reading.pose.samples import border_samples, facet_samples, thinned
from seatmesh.reading.pose.turns import Turn, turns_onto
from seatmesh.reading.quality.coverage import coverage
from seatmesh.reading.scan_size import greatest_length
from seatmesh.reading.surface_points import Face
from seatmesh.reading.top_face import top_facets, top_points
from seatmesh.surface import Seat, flat_seat
from seatmesh.wood.blank import Blank
from seatmesh.wood.joint import Joint
from seatmesh.wood.outline.shapes import area_mm2

Floats = NDArray[np.float64]
BLANK = Blank()
RANDOM = np.random.default_rng(23)


def outline_points(blank: Blank, stretch: tuple[float, float] = (1.0, 1.0)) -> Floats:
    ring = shapely.LinearRing(blank.polygon_mm() * stretch)
    return shapely.get_coordinates(ring.interpolate(np.arange(0.0, ring.length, 1.0)))


def moved(plan: Floats, degrees: float, shift: tuple[float, float]) -> Floats:
    turn = np.radians(degrees)
    matrix = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    return np.asarray(plan @ matrix.T + shift)


@pytest.mark.parametrize(("outline", "ways"), [("tapered to the rear", 1), ("rounded", 2), ("D-shaped", 1)])
def test_all_turns_that_lay_an_outline_on_its_blank_are_found(outline: str, ways: int) -> None:
    blank = Blank(outline=outline)
    turns = turns_onto(moved(outline_points(blank), -33.3, (70.0, -20.0)), blank)
    assert turns.told
    near = [turn for turn in turns.near if turn.off_mm < 1.0]
    assert len(near) == ways
    found = np.degrees([turn.turn for turn in near]) % 180.0
    np.testing.assert_allclose(found, 33.3, atol=0.3)


def test_a_square_has_four_turns_and_a_circle_tells_none() -> None:
    square = Blank(width_mm=430.0, outline="straight-sided")
    assert len([turn for turn in turns_onto(outline_points(square), square).near if turn.off_mm < 1.0]) == 4
    angle = np.linspace(0.0, np.pi, 181)
    ring = tuple(zip((200.0 * np.sin(angle)).tolist(), (200.0 - 200.0 * np.cos(angle)).tolist(), strict=True))
    round_blank = Blank(width_mm=400.0, depth_mm=400.0, own_outline_mm=ring)
    assert not turns_onto(outline_points(round_blank), round_blank).told


def test_an_outline_of_another_size_comes_near_in_no_turn() -> None:
    turns = turns_onto(outline_points(BLANK, (1.0, 0.85)), BLANK)
    assert turns.near == ()
    # 64 mm less in depth: the extents differ by 32 mm |sin| about the middle, 32 / sqrt(2) rms.
    assert turns.least_off_mm == pytest.approx(32.25 / np.sqrt(2.0), rel=0.15)


def test_the_edge_is_laid_on_the_outline_and_measured() -> None:
    blank = Blank(outline="waisted")
    wider, longer = 0.8, -0.6
    stretch = (1.0 + wider / blank.width_mm, 1.0 + longer / blank.depth_mm)
    scan = moved(outline_points(blank, stretch), -2.0, (4.0, -3.0))
    fit = fit_outline(scan, Turn(0.0, np.zeros(2), 0.0), blank, 4.0)
    assert np.degrees(fit.turn.turn) == pytest.approx(2.0, rel=0.02)
    assert fit.wider_mm == pytest.approx(wider, rel=0.03)
    assert fit.longer_mm == pytest.approx(longer, rel=0.03)
    assert fit.seen == pytest.approx(1.0, abs=0.01)
    middle = 0.5 * (blank.polygon_mm().min(axis=0) + blank.polygon_mm().max(axis=0))
    # What was moved comes back: the middle of the scan lies where it was before.
    laid = fit.turn.moved(moved(middle[None, :] * stretch, -2.0, (4.0, -3.0)))[0]
    np.testing.assert_allclose(laid, middle, atol=0.15)


def test_a_missing_stretch_of_edge_is_told_as_not_seen() -> None:
    plan = outline_points(BLANK)
    kept = plan[plan[:, 0] < 100.0]
    fit = fit_outline(kept, Turn(0.0, np.zeros(2), 0.0), BLANK, 4.0)
    assert fit.seen == pytest.approx(len(kept) / len(plan), abs=0.02)
    assert fit.off_mm < 0.05


def test_scatter_carries_the_outermost_of_many_beyond_the_edge() -> None:
    """Greatest of n normal values: 1.163 of 5, 1.539 of 10, 1.867 of 20 (H. L. Harter 1961; from memory)."""
    assert greatest_of(np.array([1, 5, 10, 20])) == pytest.approx([0.0, 1.163, 1.539, 1.867], abs=0.02)
    plan = np.repeat(outline_points(BLANK), 5, axis=0)
    noisy = plan + RANDOM.normal(0.0, 0.5, plan.shape)
    raw, corrected = (
        fit_outline(noisy, Turn(0.0, np.zeros(2), 0.0), BLANK, 4.0, scatter) for scatter in (0.0, 0.5)
    )
    assert raw.wider_mm > 1.5
    assert abs(corrected.wider_mm) < 0.25


def test_layers_are_the_uppermost_and_the_lowest_and_no_pit() -> None:
    x, y = (axis.ravel() for axis in np.meshgrid(np.arange(0.5, 60.0), np.arange(0.5, 60.0)))
    top = np.column_stack([x, y, -0.1 * x])
    top = top[np.hypot(x - 30.0, y - 30.0) > 3.0]
    under = np.column_stack([x, y, np.full(len(x), -45.0)])
    between = np.column_stack([x, y, np.full(len(x), -25.0)])
    seen = layers(np.vstack([under, top, between]), 4.0)
    np.testing.assert_allclose(seen.top[:, 2], -0.1 * seen.top[:, 0], atol=1e-9)
    np.testing.assert_allclose(seen.under[:, 2], -45.0)
    # Only the cell that lies in the hole alone has no top.
    assert len(seen.under) - len(seen.top) in (0, 1)


def seat_points(scatter: float, tilt: tuple[float, float, float] = (0.0, 0.0, 0.0)) -> Floats:
    x, y = (axis.ravel() for axis in np.meshgrid(np.arange(-238.0, 239.0, 2.0), np.arange(1.0, 430.0, 2.0)))
    hollow = np.maximum(12.0 - 12.0 * (x / 190.0) ** 2 - 12.0 * ((y - 230.0) / 150.0) ** 2, 0.0)
    z = -hollow + tilt[0] + tilt[1] * x + tilt[2] * y
    return np.column_stack([x, y, z + RANDOM.normal(0.0, scatter, x.shape)])


def test_the_plane_is_laid_on_uncut_wood_and_the_scatter_told() -> None:
    plan = Plan.of(BLANK)
    tilt = (0.3, 4e-4, -6e-4)
    clean, noisy = seat_points(0.0, tilt), seat_points(0.2, tilt)
    asked = np.array([[0.0, 0.0, 0.3], [200.0, 0.0, 0.38], [0.0, 400.0, 0.06]])
    frame, scatter = levelled(clean, clean, Frame(np.zeros(3), np.eye(3)), 0.05, plan)
    np.testing.assert_allclose(frame.into(asked)[:, 2], 0.0, atol=1e-4)
    assert scatter == pytest.approx(0.0, abs=1e-4)
    frame, scatter = levelled(noisy, noisy, Frame(np.zeros(3), np.eye(3)), 0.2, plan)
    np.testing.assert_allclose(frame.into(asked)[:, 2], 0.0, atol=0.02)
    assert scatter == pytest.approx(0.2, rel=0.03)


def test_the_share_of_a_rim_is_its_area() -> None:
    points = seat_points(0.0)
    flat = np.mean(points[:, 2] > -0.8) * 476.0 * 428.0
    (rim,) = (
        one for one in rim_planes(points, points, area_mm2(BLANK.polygon_mm())) if one.plane.normal[2] > 0.99
    )
    assert rim.share == pytest.approx(flat / area_mm2(BLANK.polygon_mm()), rel=0.06)


def evidence_of(**changes: Any) -> Evidence:
    fit = OutlineFit(Turn(0.0, np.zeros(2), 0.0), 0.0, 1.0, 0.0, 0.0)
    outline = replace(fit, **{name: changes.pop(name) for name in list(changes) if hasattr(fit, name)})
    sound = Evidence(
        frame=Frame(np.zeros(3), np.eye(3)), outline=outline, scatter_mm=0.0, edge_mm=0.0, above=0.0, deck_seen=1.0,
        deck_carved=0.0, deck_rms_mm=0.0, rounded_mm=0.0, gutter_missing=None, underside_seen=1.0, underside_off=0.0,
        thickness_mm=45.0, holes_found=None, mirrored_holes_found=None,
    )  # fmt: skip
    return replace(sound, **changes)


@pytest.mark.parametrize(
    ("name", "limit", "words"),
    [
        ("off_mm", 1.0, "outline lies"),
        ("wider_mm", 1.0, "mm wide"),
        ("longer_mm", -1.0, "from rear to front"),
        ("above", 0.05, "stands above"),
        ("deck_carved", 0.15, "not flat"),
        ("deck_rms_mm", 1.0, "not flat"),
        ("rounded_mm", 0.3, "top edge falls"),
        ("gutter_missing", 0.2, "of the gutter"),
        ("underside_off", 0.15, "of the underside"),
    ],
)
def test_each_fault_begins_at_its_limit(name: str, limit: float, words: str) -> None:
    assert not faults(evidence_of(**{name: 0.99 * limit}), BLANK, PoseLimits())
    (fault,) = faults(evidence_of(**{name: 1.01 * limit}), BLANK, PoseLimits())
    assert words in fault.found
    assert fault.badness == pytest.approx(1.01)


def test_shares_seen_thickness_and_scale_have_limits_too() -> None:
    for name, limit in (("seen", 0.85), ("deck_seen", 0.6)):
        assert not faults(evidence_of(**{name: 1.01 * limit}), BLANK, PoseLimits())
        assert len(faults(evidence_of(**{name: 0.99 * limit}), BLANK, PoseLimits())) == 1
    for sign in (1.0, -1.0):
        assert not faults(evidence_of(thickness_mm=45.0 + 0.99 * sign), BLANK, PoseLimits())
        assert len(faults(evidence_of(thickness_mm=45.0 + 1.01 * sign), BLANK, PoseLimits())) == 1
    for times, count in ((0.99, 0), (1.01, 1)):
        share = 0.0015 * times
        found = faults(evidence_of(wider_mm=480.0 * share, longer_mm=430.0 * share), BLANK, PoseLimits())
        assert len(found) == count
    # One way alone it is a blank of another width, within what is allowed.
    assert not faults(evidence_of(wider_mm=0.9, longer_mm=0.0), BLANK, PoseLimits())
    assert not faults(evidence_of(underside_off=0.9), BLANK, PoseLimits(underside=False))


def test_one_way_rules_another_out_only_where_it_is_clearly_better() -> None:
    sound = evidence_of()
    for name, step in (
        ("off_mm", 0.5),
        ("deck_carved", 0.1),
        ("gutter_missing", 0.3),
        ("underside_off", 0.1),
    ):
        base = {"gutter_missing": 0.0} if name == "gutter_missing" else {}
        one = evidence_of(**base)
        assert not excludes(one, evidence_of(**{name: 0.98 * step}), BLANK)
        assert excludes(one, evidence_of(**{name: 1.02 * step}), BLANK)
        # Three times as much is asked for as well.
        poor = evidence_of(**{name: 0.98 * step})
        assert not excludes(poor, evidence_of(**{name: 2.0 * step}), BLANK)
    assert not excludes(sound, sound, BLANK)
    assert excludes(evidence_of(holes_found=0.9), evidence_of(holes_found=0.3), BLANK)
    assert not excludes(evidence_of(holes_found=0.9), evidence_of(holes_found=0.5), BLANK)
    assert not excludes(evidence_of(holes_found=0.55), evidence_of(holes_found=0.0), BLANK)


def test_scatter_is_allowed_up_to_a_millimetre() -> None:
    refuse_scatter(0.99, "it")
    with pytest.raises(InputError, match=r"scatter by 1.0 mm; allowed is 1 mm"):
        refuse_scatter(1.01, "it")


def test_large_patches_are_refused_and_small_ones_named() -> None:
    whole = area_mm2(BLANK.polygon_mm())
    patch = Patch(40.0, 120.0, 30.0, 1.5, 0.0)
    for area, count, is_fine in (
        (0.0049 * whole, 1, True),
        (0.0051 * whole, 1, False),
        (395.0, int(0.039 * whole / 395.0), True),
        (395.0, int(0.041 * whole / 395.0) + 1, False),
    ):
        left_out = (replace(patch, area_mm2=area),) * count
        if is_fine:
            refuse_unlike_seat(left_out, BLANK, "it")
        else:
            with pytest.raises(InputError, match="the face cannot be followed"):
                refuse_unlike_seat(left_out, BLANK, "it")
    assert len(patch_words((patch,) * 5)) == 5
    assert patch_words((patch,) * 8)[-1].startswith("3 more such patches")


def face_of(x: Floats, y: Floats, depth: Floats) -> Face:
    return Face(x, y, depth, np.column_stack([x, y]), depth, 2.0)


def test_a_patch_has_its_place_width_and_area() -> None:
    x, y = (axis.ravel() for axis in np.meshgrid(np.arange(-230.0, 231.0, 1.5), np.arange(60.0, 420.0, 1.5)))
    depth = np.where(np.hypot(x - 50.0, y - 200.0) < 15.0, -2.0, 0.0)
    (patch,) = patches(flat_seat(BLANK), face_of(x, y, depth), 0.02)
    assert (patch.x_mm, patch.y_mm) == pytest.approx((50.0, 200.0), abs=0.5)
    assert patch.across_mm == pytest.approx(31.5, abs=2.0)
    assert patch.off_mm == -2.0
    assert patch.area_mm2 == pytest.approx(np.pi * 16.5**2, rel=0.1)
    assert patches(flat_seat(BLANK), face_of(x, y, np.full(len(x), 0.39)), 0.02) == ()
    assert len(patches(flat_seat(BLANK), face_of(x, y, np.full(len(x), 0.41)), 0.02)) == 1
    assert patches(flat_seat(BLANK), face_of(x, y, np.full(len(x), 0.9)), 0.2) == ()


def test_the_error_of_a_noisy_face_is_told() -> None:
    x, y = (axis.ravel() for axis in np.meshgrid(np.arange(-236.0, 237.0, 3.0), np.arange(52.0, 429.0, 3.0)))
    true = 12.0 - (x / 90.0) ** 2 - ((y - 240.0) / 90.0) ** 2
    told, off = [], []
    for _ in range(3):
        fit = fit_face(face_of(x, y, true + RANDOM.normal(0.0, 0.3, x.shape)), BLANK, 0.0, 0.3)
        told.append(fit.error_mm)
        off.append(np.sqrt(np.mean((fit.spline(x, y) - true) ** 2)))
    assert np.mean(told) == pytest.approx(np.mean(off), rel=0.2)
    assert fit_face(face_of(x, y, true), BLANK, 0.0, 0.0).error_mm == 0.0


def test_samples_lie_in_their_triangles_and_close_together() -> None:
    points = np.array([[0.0, 0.0, 0.0], [40.0, 0.0, 0.0], [0.0, 30.0, 0.0], [40.0, 30.0, 5.0]])
    faces = np.array([[0, 1, 2], [1, 3, 2]])
    samples, facet = facet_samples(points, faces, 2.0)
    assert np.all(samples[facet == 0, 2] == 0.0)
    assert np.all(samples[facet == 0, :2] @ [3.0, 4.0] < 120.0)
    from scipy.spatial import cKDTree

    x, y = np.meshgrid(np.arange(1.0, 24.0), np.arange(1.0, 10.0))
    assert cKDTree(samples[:, :2]).query(np.column_stack([x.ravel(), y.ravel()]))[0].max() < 2.0
    border = border_samples(points, faces, 2.0)
    assert np.all(
        (border[:, 0] == 0.0) | (border[:, 1] == 0.0) | (border[:, 0] == 40.0) | (border[:, 1] == 30.0)
    )
    assert len(border_samples(points, faces[:1], 2.0)) == 0
    assert len(thinned(np.zeros((100, 3)), 40)) == 40


def test_covered_triangles_are_no_top_face() -> None:
    size = np.array([[0.0, 0.0], [40.0, 0.0], [0.0, 40.0], [40.0, 40.0]])
    points = np.vstack([np.column_stack([size, np.full(4, z)]) for z in (0.0, -9.0, -45.0)])
    faces = np.vstack([np.array([[0, 1, 2], [1, 3, 2]]) + 4 * level for level in range(3)])
    wall = np.array([[0, 1, 9]])
    samples = facet_samples(points, faces, 2.0)[0]
    kept = top_facets(points, np.vstack([faces, faces[:, ::-1], wall]), samples)
    assert kept.tolist() == [True, True, False, False, False, False] * 2 + [False]


def test_points_near_the_underside_or_below_others_are_no_top_face() -> None:
    x, y = (axis.ravel() for axis in np.meshgrid(np.arange(-40.0, 41.0, 2.0), np.arange(150.0, 231.0, 2.0)))
    top = np.column_stack([x, y, -10.0 - 0.1 * x])
    under = np.column_stack([x, y, np.full(len(x), -45.0)])
    pocket = np.column_stack([x[:40], y[:40], np.full(40, -33.0)])
    alone = np.array([[150.0, 300.0, -44.0]])
    kept = top_points(np.vstack([top, under, pocket, alone]), 2.0, BLANK)
    assert kept[: len(top)].all()
    assert not kept[len(top) :].any()


def test_joints_open_where_they_are_drilled() -> None:
    leg = Joint("leg mortise", 160.0, 330.0, 25.0, 12.0, depth_mm=18.0)
    through = Joint("leg mortise", 100.0, 100.0, 25.0, 0.0, side="one")
    spindle = Joint("spindle", 60.0, 22.0, 12.0, 8.0, depth_mm=25.0)
    places = joint_places(Blank(joints=(leg, through, spindle)))
    for x, y, above, below in (
        (160.0, 330.0, False, True),
        (-160.0, 330.0, False, True),
        (100.0, 100.0, True, True),
        (-100.0, 100.0, False, False),
        (-60.0, 22.0, True, False),
    ):
        assert shapely.intersects_xy(places.above, x, y) == above
        assert shapely.intersects_xy(places.below, x, y) == below
    assert shapely.area(places.open_below) == pytest.approx(3.0 * np.pi * 10.5**2, rel=0.01)


def test_the_greatest_length_is_the_same_whichever_way_it_lies() -> None:
    box = np.array([[x, y, z] for x in (0.0, 300.0) for y in (0.0, 400.0) for z in (0.0, 40.0)])
    for seed in range(3):
        turn = Rotation.random(random_state=seed).as_matrix()
        assert greatest_length(box @ turn.T + 7.0) == pytest.approx(np.sqrt(300.0**2 + 400.0**2 + 40.0**2))


def test_evenness_is_judged_beyond_the_scatter(carve: Any) -> None:
    assert is_even(carve(), 0.0)
    uneven: Seat = carve(deeper_on_the_right_mm=0.1)
    assert not is_even(uneven, 0.0)
    assert is_even(uneven, 1.0)


def test_openings_are_no_part_of_what_should_be_seen() -> None:
    x, y = (axis.ravel() for axis in np.meshgrid(np.arange(-239.0, 240.0, 2.0), np.arange(50.0, 430.0, 2.0)))
    hole = np.hypot(x - 60.0, y - 200.0) < 20.0
    seen = face_of(x[~hole], y[~hole], np.zeros(np.count_nonzero(~hole)))
    assert coverage(seen, BLANK)[0] < 0.998
    assert coverage(seen, BLANK, shapely.Point(60.0, 200.0).buffer(22.0))[0] == 1.0


def test_words_of_places_and_directions() -> None:
    assert roughly(0.4, 120.2, "mm") == "on the centre line, 120 mm from the rear edge"
    assert (
        roughly(-61.0, 150.0, "mm")
        == "61 mm to the sitter's left of the centre line, 150 mm from the rear edge"
    )
    assert direction_words(np.array([-0.0, 1.0, 0.004])) == "0,1,0"
    assert direction_words(np.array([-0.707, 0.0, 0.707])) == "-0.71,0,0.71"
