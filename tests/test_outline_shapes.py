"""Named outlines: exact sizes, one simple curve, what each word says."""

import numpy as np
import pytest
import shapely

from seatmesh.wood.outline.shapes import OUTLINES, TAPER, WAIST, greatest_corner_radius_mm, outline_polygon

SIZES = [(480.0, 430.0), (401.3, 382.7), (300.0, 640.0), (880.0, 210.0)]


@pytest.mark.parametrize("name", OUTLINES)
@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("share", [0.0, 0.25, 1.0])
def test_as_wide_and_deep_as_ordered_and_simple(name, size, share):
    width, depth = size
    radius = share * greatest_corner_radius_mm(name, width, depth)
    polygon = outline_polygon(name, width, depth, radius)
    assert polygon[:, 0].max() == width / 2
    assert polygon[:, 0].min() == -width / 2
    assert polygon[:, 1].min() == pytest.approx(0.0, abs=1e-9)
    assert polygon[:, 1].max() == pytest.approx(depth, abs=1e-9)
    ring = shapely.LinearRing(polygon)
    assert ring.is_simple
    assert ring.is_ccw
    chords = np.linalg.norm(polygon - np.roll(polygon, 1, axis=0), axis=1)
    assert chords.min() > 1e-9
    right = polygon[: len(polygon) // 2 + 1]
    assert right[0, 0] == right[-1, 0] == 0.0
    assert np.array_equal(polygon[len(right) :], right[-2:0:-1] * [-1.0, 1.0])


def width_at(name, y, radius=40.0):
    ring = shapely.Polygon(outline_polygon(name, 480.0, 430.0, radius))
    return shapely.intersection(ring, shapely.LineString([(-300, y), (300, y)])).length


def test_each_word_means_what_it_says():
    assert width_at("straight-sided", 1.0) == pytest.approx(width_at("straight-sided", 429.0))
    assert width_at("rounded", 215.0) == pytest.approx(480.0)
    assert width_at("rounded", 1.0) < 440.0
    # A straight taper: what is left of the difference 45 mm from either end, stretched for the rounded corner.
    for name, wide, narrow in (("tapered to the rear", 385.0, 45.0), ("tapered to the front", 45.0, 385.0)):
        lost = (width_at(name, wide) - width_at(name, narrow)) / width_at(name, wide)
        assert lost == pytest.approx((1 - TAPER) * 340.0 / 430.0, rel=0.02)
    assert width_at("waisted", 215.0) == pytest.approx(WAIST * 480.0, abs=0.05)
    assert width_at("waisted", 45.0) > 479.0
    # Half an ellipse in front: at half of its length sqrt(3)/2 of the width.
    bow = min(240.0, 390.0)
    assert width_at("D-shaped", 430.0 - bow / 2) == pytest.approx(480.0 * np.sqrt(0.75), rel=1e-4)
    assert width_at("D-shaped", 60.0) == pytest.approx(480.0)


def test_corners_have_the_radius_asked_for():
    for name in ("rounded", "D-shaped", "waisted"):
        polygon = outline_polygon(name, 480.0, 430.0, 50.0)
        corner = polygon[(polygon[:, 0] > 190.5) & (polygon[:, 1] < 49.5)]
        assert np.hypot(corner[:, 0] - 190.0, corner[:, 1] - 50.0) == pytest.approx(50.0)
        assert len(corner) > 20


def test_how_far_an_outline_tapers_and_draws_in_and_how_round_its_corners_may_be():
    """Shapes of our own choice, and as the guide describes them: 86 % at the narrow end, 88 % at the waist."""
    bare = {name: outline_polygon(name, 480.0, 430.0, 0.0) for name in OUTLINES}

    def ends(name):
        polygon = bare[name]
        return [np.abs(polygon[np.abs(polygon[:, 1] - y) < 1e-6, 0]).max() for y in (0.0, 430.0)]

    rear, front = ends("tapered to the rear")
    assert rear / front == pytest.approx(0.86)
    rear, front = ends("tapered to the front")
    assert front / rear == pytest.approx(0.86)
    waisted = outline_polygon("waisted", 480.0, 430.0, 40.0)
    side = waisted[(waisted[:, 0] > 100.0) & (np.abs(waisted[:, 1] - 215.0) < 60.0)]
    assert side[:, 0].min() / 240.0 == pytest.approx(0.88, abs=1e-3)
    assert greatest_corner_radius_mm("tapered to the front", 480.0, 430.0) == pytest.approx(0.42 * 430.0)
    assert greatest_corner_radius_mm("rounded", 480.0, 430.0) == 215.0
    # Sides keep a straight part: no corner takes more than 0.45 of the depth.
    for name in ("D-shaped", "waisted"):
        corner = outline_polygon(name, 880.0, 300.0, 200.0)
        rear = corner[(corner[:, 0] > 0.0) & (corner[:, 1] < 150.0)]
        assert rear[rear[:, 0] > 439.999, 1].min() == pytest.approx(0.45 * 300.0, abs=1.0)
