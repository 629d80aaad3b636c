"""A maker's own outline: smooth through its points, read from drawings, refused by name."""

import ezdxf
import ezdxf.units
import numpy as np
import pytest
import shapely

from seatmesh.errors import FileRefusedError, ValueRefusedError
from seatmesh.wood.outline.dxf_curves import MM_PER_UNIT, dxf_pieces
from seatmesh.wood.outline.from_drawing import outline_from_file
from seatmesh.wood.outline.from_points import _distinct, smooth_outline
from seatmesh.wood.outline.shapes import mirrored

ANGLE = np.linspace(-np.pi / 2, np.pi / 2, 13)
ELLIPSE = np.column_stack([230.0 * np.cos(ANGLE), 210.0 + 210.0 * np.sin(ANGLE)])
ELLIPSE[[0, -1], 0] = 0.0


def ellipse_error(half):
    x, y = np.array(half).T
    return np.abs(np.hypot(x / 230.0, (y - 210.0) / 210.0) - 1.0).max()


def whole_of(half):
    return np.vstack([half, half[-2:0:-1] * [-1.0, 1.0]])


@pytest.mark.parametrize(
    "points",
    [
        ELLIPSE,
        ELLIPSE[::-1],
        whole_of(ELLIPSE),
        whole_of(ELLIPSE)[::-1],
        np.roll(whole_of(ELLIPSE), 7, axis=0),
        np.vstack([whole_of(ELLIPSE), ELLIPSE[:1]]),
    ],
)
def test_the_curve_runs_through_an_ellipse_whichever_way_it_is_given(points):
    half = smooth_outline(points.tolist(), "outline_points_mm")
    assert ellipse_error(half) < 1e-3
    polygon = mirrored(np.array(half))
    assert shapely.LinearRing(polygon).is_ccw
    assert np.ptp(polygon, axis=0) == pytest.approx([460.0, 420.0], abs=0.2)
    assert half[0][0] == half[-1][0] == 0.0
    assert polygon[:, 1].min() == 0.0


def test_a_right_half_may_end_beside_the_centre_line():
    beside = ELLIPSE.copy()
    beside[[0, -1]] = [(6.0, 210.0 - 210.0 * np.sqrt(1 - (6 / 230) ** 2))] * 2
    beside[-1, 1] = 420.0 - beside[0, 1]
    half = smooth_outline(beside.tolist(), "outline_points_mm")
    assert ellipse_error(half) < 5e-3
    assert half[0][0] == half[-1][0] == 0.0


def test_it_passes_through_every_point_and_is_smooth():
    points = [(0, 0), (100, 0.5), (195, 20), (230, 150), (215, 300), (200, 390), (100, 428), (0, 430)]
    half = np.array(smooth_outline(points, "points"))
    line = shapely.LineString(half)
    for point in points:
        assert line.distance(shapely.Point(point)) < 0.3
    step = np.diff(half, axis=0)
    turn = np.diff(np.unwrap(np.arctan2(step[:, 1], step[:, 0])))
    assert np.abs(turn).max() < 0.2


REFUSED = {
    "crosses itself": [(0, 0), (200, 10), (200, 400), (100, 100), (230, 120), (0, 430)],
    "mm wide": [(0, 0), (50, 10), (55, 200), (50, 400), (0, 430)],
    "inches": None,
    "rearmost line is y = ": ELLIPSE + np.array([0.0, 35.0]),
    "around the centre line": whole_of(ELLIPSE) + np.array([20.0, 0.0]),
    "mirror image": np.vstack([ELLIPSE, ELLIPSE[-2:0:-1] * [-0.8, 1.0]]),
    "3 to 2000 points": [(0, 0), (1, 1)],
    "twice in a row": [(0, 0), (200, 10), (200, 10), (200, 400), (0, 430)],
    "at most two": [(0, 0), (200, 10), (0, 200), (200, 400), (0, 430)],
    "add points near x": [(0, 0), (180, 5), (220, 100), (210, 250), (180, 400), (0, 430)],
}


@pytest.mark.parametrize("words", [w for w in REFUSED if REFUSED[w] is not None])
def test_refused_by_name(words):
    with pytest.raises(ValueRefusedError, match=words) as refusal:
        smooth_outline(np.asarray(REFUSED[words], dtype=float).tolist(), "[blank] outline_points_mm")
    assert str(refusal.value).startswith("[blank] outline_points_mm = ")


def test_the_crossing_is_found_where_it_is():
    eight = [(0, 0), (220, 60), (60, 215), (220, 370), (100, 215), (30, 300), (0, 430)]
    with pytest.raises(ValueRefusedError, match="crosses itself near") as refusal:
        smooth_outline(eight, "points")
    x, y = (float(v) for v in str(refusal.value).split("near (")[1].split(")")[0].split(","))
    assert -240 < x < 240
    assert 0 < y < 430


def dxf(tmp_path, draw, units=4, name="seat.dxf"):
    drawing = ezdxf.new(units=units)
    draw(drawing.modelspace())
    drawing.saveas(tmp_path / name)
    return tmp_path / name


def rounded_rectangle(space, f=1.0, gap=0.0):
    # 460 x 420 with corners of 60 mm, off the origin, drawn in pieces that run in no order.
    space.add_line((60 * f, 0), (400 * f, 0))
    space.add_line((460 * f, 60 * f), (460 * f, 360 * f))
    space.add_line((0, 360 * f), (0, 60 * f))
    space.add_lwpolyline([(400 * f, 420 * f), (60 * f - gap, 420 * f)])
    for centre, start in (((400, 60), 270), ((400, 360), 0), ((60, 360), 90), ((60, 60), 180)):
        space.add_arc((centre[0] * f, centre[1] * f), 60 * f, start, start + 90)


def check_rounded_rectangle(half):
    polygon = shapely.Polygon(mirrored(np.array(half)))
    truth = shapely.box(-170, 60, 170, 360).buffer(60, quad_segs=200)
    assert polygon.bounds == pytest.approx((-230, 0, 230, 420), abs=1e-6)
    assert polygon.symmetric_difference(truth).area < 60.0


@pytest.mark.parametrize(("units", "f"), [(4, 1.0), (1, 1 / 25.4), (5, 0.1)])
def test_dxf_in_its_own_unit(tmp_path, units, f):
    file = dxf(tmp_path, lambda space: rounded_rectangle(space, f), units)
    check_rounded_rectangle(outline_from_file(file, None, "outline_file"))


def test_dxf_without_a_unit_asks_for_one(tmp_path):
    file = dxf(tmp_path, lambda space: rounded_rectangle(space, 1 / 25.4), 0)
    with pytest.raises(FileRefusedError, match="outline_units"):
        outline_from_file(file, None, "outline_file")
    check_rounded_rectangle(outline_from_file(file, "in", "outline_file"))


def test_dxf_spline_and_bulged_polyline(tmp_path):
    whole = whole_of(ELLIPSE)
    file = dxf(tmp_path, lambda s: s.add_spline(np.vstack([whole, whole[:1]]).tolist()))
    assert ellipse_error(outline_from_file(file, None, "f")) < 0.01
    disc = [(0, 0, 1.0), (400, 0, 1.0)]
    file = dxf(tmp_path, lambda s: s.add_lwpolyline(disc, format="xyb", close=True), name="disc.dxf")
    x, y = np.array(outline_from_file(file, None, "f")).T
    assert np.hypot(x, y - 200.0) == pytest.approx(200.0, abs=0.03)


def test_drawings_that_are_refused(tmp_path):
    opened = dxf(tmp_path, lambda s: rounded_rectangle(s, gap=3.0))
    with pytest.raises(FileRefusedError, match=r"open, its ends .* 3\.00 mm apart"):
        outline_from_file(opened, None, "f")
    two = dxf(tmp_path, lambda s: (s.add_circle((0, 0), 200), s.add_circle((0, 0), 20)), name="two.dxf")
    with pytest.raises(FileRefusedError, match="more than one curve"):
        outline_from_file(two, None, "f")
    with pytest.raises(FileRefusedError, match="no line"):
        outline_from_file(dxf(tmp_path, lambda s: None, name="none.dxf"), None, "f")
    for name, text in (("a.dxf", "nonsense"), ("a.svg", "<svg"), ("b.svg", "nonsense")):
        (tmp_path / name).write_text(text)
        with pytest.raises(FileRefusedError, match=r"cannot be read|can be read|no line"):
            outline_from_file(tmp_path / name, None, "f")
    with pytest.raises(FileRefusedError, match="there is no such file"):
        outline_from_file(tmp_path / "no.dxf", None, "f")
    with pytest.raises(FileRefusedError, match=r"\.dxf, \.svg"):
        outline_from_file(tmp_path / "seat.step", None, "f")


SVG = '<svg xmlns="http://www.w3.org/2000/svg" {size}><path fill="none" d="{path}"/></svg>'
# Wide at the top of the page, which is the front; 460 at the front, 400 at the rear, 420 deep.
PATH = "M 10 20 C 10 10 20 0 30 0 L 450 0 C 460 0 470 10 470 20 L 440 420 L 40 420 Z"


@pytest.mark.parametrize(
    ("size", "units", "f"),
    [
        ('width="500mm" height="450mm" viewBox="0 0 500 450"', None, 1.0),
        ('width="500" height="450" viewBox="0 0 500 450"', None, 1.0),
        ('width="10in" height="9in" viewBox="0 0 500 450"', None, 254.0 / 500.0),
        ("", None, 1.0),
    ],
)
def test_svg_front_up_in_mm(tmp_path, size, units, f):
    (tmp_path / "a.svg").write_text(SVG.format(size=size, path=PATH))
    half = np.array(outline_from_file(tmp_path / "a.svg", units, "f"))
    assert half[:, 0].max() == pytest.approx(230.0 * f, abs=0.01)
    assert half[:, 1].max() == pytest.approx(420.0 * f, abs=0.01)
    front = half[np.argmax(half[:, 0])]
    assert front[1] == pytest.approx(400.0 * f, abs=0.01)
    assert half[1] == pytest.approx([200.0 * f, 0.0], abs=1e-3)


def test_units_of_a_dxf_are_those_of_the_second_librarys_own_table():
    for code, mm in MM_PER_UNIT.items():
        assert mm == pytest.approx(ezdxf.units.conversion_factor(code, ezdxf.units.MM), rel=1e-9)


@pytest.mark.parametrize(("units", "f"), [(4, 1.0), (1, 1 / 25.4)])
def test_a_chain_of_points_lies_within_a_fiftieth_of_a_millimetre_of_its_curve(tmp_path, units, f):
    """The arc rises above a chord by r - sqrt(r^2 - (c / 2)^2); as few chords as that lets be."""
    file = dxf(tmp_path, lambda space: space.add_circle((0, 0), 200 * f), units)
    (chain,) = dxf_pieces(file, None)
    half = 0.5 * np.linalg.norm(np.diff(chain, axis=0), axis=1)
    rise = 200.0 - np.sqrt(200.0**2 - half**2)
    assert 0.0195 < rise.max() <= 0.02


@pytest.mark.parametrize(("gap", "joined"), [(0.098, True), (0.102, False)])
def test_ends_a_tenth_of_a_millimetre_apart_are_one_point(tmp_path, gap, joined):
    file = dxf(tmp_path, lambda space: rounded_rectangle(space, gap=gap))
    if joined:
        assert shapely.Polygon(mirrored(np.array(outline_from_file(file, None, "f")))).bounds[2] > 229.9
    else:
        with pytest.raises(FileRefusedError, match="open, its ends"):
            outline_from_file(file, None, "f")


def oblong(width, depth, right_mm=0.0, rear_mm=0.0):
    at = np.linspace(0.0, 2.0 * np.pi, 60, endpoint=False)
    round_it = [width / 2 * np.cos(at) + right_mm, depth / 2 * (1.0 + np.sin(at)) + rear_mm]
    return np.column_stack(round_it)


@pytest.mark.parametrize(
    ("allowed", "refused", "words"),
    [
        ((202.0, 300.0), (198.0, 300.0), "allowed are 200 to 900 mm"),
        ((895.0, 600.0), (905.0, 600.0), "allowed are 200 to 900 mm"),
        ((300.0, 202.0), (300.0, 198.0), "allowed are 200 to 700 mm"),
        ((600.0, 696.0), (600.0, 704.0), "allowed are 200 to 700 mm"),
        # Sides may part by a millimetre: shifted by x, a curve parts from its mirror image by 2 x.
        ((400.0, 400.0, 0.49), (400.0, 400.0, 0.51), "mirror image"),
        ((400.0, 400.0, 0.0, 0.97), (400.0, 400.0, 0.0, 1.03), "rearmost line"),
        ((400.0, 400.0, 0.0, -0.97), (400.0, 400.0, 0.0, -1.03), "rearmost line"),
    ],
)
def test_sizes_and_places_of_a_curve(allowed, refused, words):
    smooth_outline(oblong(*allowed).tolist(), "points")
    with pytest.raises(ValueRefusedError, match=words):
        smooth_outline(oblong(*refused).tolist(), "points")


def test_points_a_tenth_of_a_millimetre_apart_are_two():
    for gap, two in ((0.102, True), (0.098, False)):
        points = oblong(400.0, 400.0)
        points = np.insert(points, 15, points[14] - np.array([gap, 0.0]), axis=0)
        if two:
            assert len(_distinct(points, "points")) == 61
        else:
            with pytest.raises(ValueRefusedError, match="twice in a row"):
                _distinct(points, "points")


def test_a_drawing_may_lie_anywhere_on_its_page(tmp_path):
    rng = np.random.default_rng(3)
    for place in rng.uniform(-900.0, 900.0, (3, 2)):
        file = dxf(tmp_path, lambda space, at=place: space.add_circle(at, 210))
        x, y = np.array(outline_from_file(file, None, "f")).T
        assert np.hypot(x, y - 210.0) == pytest.approx(np.full(len(x), 210.0), abs=0.03)


def test_curves_of_an_svg_are_followed_in_steps_of_a_millimetre(tmp_path):
    """A half circle of 200 mm is 628 mm long: no chord over 1 mm, and no more of them than that takes."""
    path = "M 0 420 L 0 200 A 200 200 0 0 1 400 200 L 400 420 Z"
    (tmp_path / "a.svg").write_text(
        SVG.format(size='width="400mm" height="420mm" viewBox="0 0 400 420"', path=path)
    )
    half = np.array(outline_from_file(tmp_path / "a.svg", None, "a"))
    chords = np.linalg.norm(np.diff(half[half[:, 1] > 220.5], axis=0), axis=1)
    assert chords.max() <= 1.0 + 1e-6
    assert np.median(chords) > 0.9


def test_a_curve_beside_the_centre_line_is_told_how_far_it_lies_off():
    with pytest.raises(ValueRefusedError, match=r"take 12\.0 from every x"):
        smooth_outline(oblong(400.0, 400.0, 12.0).tolist(), "points")
