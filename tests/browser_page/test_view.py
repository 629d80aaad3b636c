"""The seat in 3D: what it shows is what the service told, and it can be turned by mouse, finger and keys."""

import numpy as np
import pytest
from seatmesh_service.tasks.of_a_seat.kept import read_order_table

from seatmesh.picture.wood.wood_colour import wood_rgb

from .browser import PATIENCE_MS, own_module
from .conftest import NARROW, WIDE
from .jobs import FOUR, ONE
from .view_tools import CANVAS, SCENE, colours_at, drawn, on_screen, stand, until

BOARDS = {
    **ONE,
    "others": {"board": [{"species": "pine", "rings": "flat", "bark": "up", "id": "1"},
                         {"species": "cherry", "rings": "rift", "bark": "down", "id": "2"}]},
}  # fmt: skip


@pytest.fixture
def view(opened, chromium_3d):
    """Return a function that opens a step in a browser that draws, and waits until the seat is drawn."""
    contexts = []

    def open_view(job=ONE, step="seat", size=WIDE, **options):
        contexts.append(chromium_3d.new_context(**options))
        page = opened(job, step, size, within=contexts[-1])
        page.set_default_timeout(PATIENCE_MS)
        drawn(page)
        return page

    yield open_view
    for one in contexts:
        one.close()


def grid_of(page):
    grid = page.evaluate(f"async () => (await {own_module('seat/shaped-seat.js')}).seat.grid")
    return np.array(grid["x_mm"]), np.array(grid["y_mm"]), np.array(grid["depth_mm"])


def depth_told(page, x, y):
    """Return the depth that is told under a pointer at a pixel of the window, None where none is told."""
    page.mouse.move(x, y)
    words = page.locator(".view-told").inner_text()
    return float(words.split(" mm deep")[0]) if words else None


def test_keys_turn_it_and_bring_it_nearer(view):
    page = view()
    assert stand(page) == (24.0, 42.0, 1.0)
    page.locator(CANVAS).focus()
    for key in ("ArrowRight", "ArrowRight", "ArrowUp", "+"):
        page.keyboard.press(key)
    until(page, "away", "0.850")
    assert stand(page) == (39.0, 49.5, 0.85)
    page.keyboard.press("-")
    until(page, "away", "1.000")
    page.keyboard.press("Home")
    until(page, "around", "24.0")
    assert stand(page) == (24.0, 42.0, 1.0)
    page.get_by_role("button", name="Turn to the right").click()
    until(page, "around", "39.0")


def test_a_mouse_turns_it_and_the_wheel_brings_it_nearer_once_it_is_held(view):
    page = view()
    canvas = page.locator(CANVAS)
    canvas.hover()
    page.mouse.wheel(0, 50)
    page.wait_for_function("() => window.scrollY >= 50")
    assert stand(page)[2] == 1.0, "the page scrolls past a seat that nobody took hold of"
    page.evaluate("window.scrollTo(0, 0)")
    box = canvas.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 50, y + 10, steps=5)
    page.mouse.up()
    until(page, "around", "4.0")
    assert stand(page)[1] == pytest.approx(46.0)
    page.mouse.wheel(0, -70)
    page.wait_for_function(f"() => Number(document.querySelector('{CANVAS}').dataset.away) < 0.95")
    assert page.evaluate("window.scrollY") == 0


def test_two_fingers_pinch_and_turn_it_and_one_scrolls_past(view):
    page = view(size=NARROW, has_touch=True)
    box = page.locator(CANVAS).bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    touch = page.context.new_cdp_session(page)

    def fingers(kind, *places):
        points = [{"x": px, "y": py, "id": number} for number, (px, py) in enumerate(places)]
        touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    fingers("touchStart", (x - 40, y), (x + 40, y))
    for apart in range(44, 84, 4):
        fingers("touchMove", (x - apart, y), (x + apart, y))
    fingers("touchEnd")
    page.wait_for_function(f"() => Number(document.querySelector('{CANVAS}').dataset.away) < 0.65")
    around, up, away = stand(page)
    assert away == pytest.approx(0.5, abs=0.03)
    assert (around, up) == pytest.approx((24.0, 42.0), abs=1.0)
    fingers("touchStart", (x - 40, y), (x + 40, y))
    for step in range(1, 9):
        fingers("touchMove", (x - 40 + 5 * step, y), (x + 40 + 5 * step, y))
    fingers("touchEnd")
    page.wait_for_function(f"() => Number(document.querySelector('{CANVAS}').dataset.around) < 12")
    before = stand(page)
    fingers("touchStart", (x, y + 60))
    for step in range(1, 9):
        fingers("touchMove", (x, y + 60 - 15 * step))
    fingers("touchEnd")
    page.wait_for_function("() => window.scrollY > 40")
    assert stand(page)[1] == before[1]


def test_a_tap_tells_how_deep_it_is_there(view):
    page = view(size=NARROW, has_touch=True)
    x, y, depth = grid_of(page)
    # Behind the front roll, which falls away beyond the hollow's depth.
    row, column = np.unravel_index(np.where(y[:, None] < 250.0, depth, 0.0).argmax(), depth.shape)
    ((px, py),) = on_screen(page, [[float(x[column]), float(y[row]), -float(depth[row, column])]])
    page.touchscreen.tap(px, py)
    page.wait_for_function("() => document.querySelector('.view-told').textContent.includes('deep')")
    told = page.locator(".view-told").inner_text()
    assert float(told.split(" mm")[0]) == pytest.approx(depth[row, column], abs=0.3)


def test_the_depth_under_the_pointer_is_the_services(view):
    """At places drawn at random over the hollow, from two sides; told to 0.1 mm, so within 0.3 mm."""
    page = view(reduced_motion="reduce")
    x, y, depth = grid_of(page)
    rng = np.random.default_rng(5)
    for side in ("Back to the first view", "From the front"):
        page.get_by_role("button", name=side).click()
        page.wait_for_timeout(400)
        rows, columns = np.nonzero((depth > 1.0) & (y[:, None] < 380.0))
        some = rng.choice(rows.size, 12, replace=False)
        places = np.stack([x[columns], y[rows], -depth[rows, columns]], axis=1)[some].tolist()
        for (px, py), (_, _, z) in zip(on_screen(page, places), places, strict=True):
            assert depth_told(page, px, py) == pytest.approx(-z, abs=0.3)
    # Beside the seat and on its side there is no surface.
    corner = page.locator(CANVAS).bounding_box()
    assert depth_told(page, corner["x"] + 5, corner["y"] + 5) is None
    ((px, py),) = on_screen(page, [[0.0, float(y[-1]), -35.0]])
    assert depth_told(page, px, py) is None


def test_a_cut_follows_the_sliders_of_the_sections(view):
    page = view(reduced_motion="reduce")
    place = [[150.0, 60.0, 0.0]]
    page.get_by_label("Pressure", exact=True).uncheck()
    whole = colours_at(page, place)[0]
    page.get_by_label("cut across").check(force=True)
    slider = page.get_by_role("slider", name="Across")
    slide = "(one, mm) => { one.value = mm; one.dispatchEvent(new Event('input', { bubbles: true })); }"
    for mm in (30, 200):
        slider.evaluate(slide, mm)
        until(page, "cut", f"across {mm}")
    # What lies before the plane is away: the eye sees through to the ground.
    assert colours_at(page, place)[0] != whole
    assert depth_told(page, *on_screen(page, place)[0]) is None
    # Wood of the cut itself stands in its plane.
    assert colours_at(page, [[100.0, 200.0, -35.0]])[0][3] == 255
    page.get_by_label("cut along").check(force=True)
    page.get_by_role("slider", name="Along").evaluate(slide, -40)
    until(page, "cut", "along -40")
    page.get_by_label("whole").check(force=True)
    until(page, "cut", "")
    assert colours_at(page, place)[0] == whole


def test_the_rings_are_the_librarys_at_every_pixel(view, address):
    """From above, wood alone: pixels are as light and dark as the library's colours of the same boards there."""
    page = view(BOARDS, reduced_motion="reduce")
    order = page.evaluate(f"async () => (await {own_module('order/order-of-job.js')}).orderOf()")
    layup = read_order_table(order).layup
    page.get_by_role("button", name="From above").click()
    page.evaluate(
        f"async () => {{ {SCENE} show({{ alone: true, stand: {{ around: 0, up: 89, away: 0.35 }} }}); }}"
    )
    page.wait_for_timeout(500)
    rng = np.random.default_rng(9)
    x, y, depth = grid_of(page)
    columns, rows = rng.integers(30, x.size - 30, 1500), rng.integers(30, y.size - 30, 1500)
    places = np.stack([x[columns], y[rows], -depth[rows, columns]], axis=1)
    seen = np.array(colours_at(page, places.tolist()))
    # Places between the shape's own points and the picture's edge are clear.
    kept = seen[:, 3] == 255
    assert kept.sum() > 700
    for side in (-1, 1):
        own = kept & (side * places[:, 0] > 2.0)
        wanted = wood_rgb(layup, places[own]) @ [0.3, 0.6, 0.1]
        got = seen[own, :3] @ [0.3, 0.6, 0.1] / 255.0
        alike = np.corrcoef(wanted, got)[0, 1]
        assert alike > 0.6
        moved = wood_rgb(layup, places[own] + [4.5, 0.0, 1.5]) @ [0.3, 0.6, 0.1]
        assert np.corrcoef(moved, got)[0, 1] < alike - 0.25
        assert got.mean() == pytest.approx(wanted.mean(), abs=0.05)


def test_the_sitter_comes_down_and_at_once_with_less_motion(view):
    lifts = """() => new Promise((done) => { const seen = []; const canvas = document.querySelector('canvas.view');
        const look = () => { if (canvas.dataset.lift) seen.push(Number(canvas.dataset.lift));
            if (canvas.dataset.lift === '0.0') done(seen); else requestAnimationFrame(look); }; look(); })"""
    for motion, least in (("no-preference", 2), ("reduce", 0)):
        page = view(reduced_motion=motion)
        page.get_by_role("button", name="From the sitter’s left side").click()
        until(page, "around", "270.0")
        above = [[0.0, 100.0, 14.0]]
        before = colours_at(page, above)[0]
        page.get_by_label("The sitter’s underside").check()
        on_the_way = [mm for mm in page.evaluate(lifts) if mm > 0]
        assert len(on_the_way) >= least
        assert least > 0 or on_the_way == []
        assert colours_at(page, above)[0] != before


def test_before_and_after_by_one_slider(view, address):
    page = view(FOUR | {"sitters": FOUR["sitters"][:1]}, reduced_motion="reduce")
    slider = page.get_by_role("slider", name="Before and after")
    slide = "(one, share) => { one.value = share; one.dispatchEvent(new Event('input', { bubbles: true })); }"
    x, y, depth = grid_of(page)
    row, column = np.unravel_index(np.where(y[:, None] < 250.0, depth, 0.0).argmax(), depth.shape)
    heights = f"""async ([x, y]) => {{ {SCENE}
        const {{ box: [left, right, rear, front], columns, rows }} = shown.is;
        const column = Math.round(((x - left) / (right - left)) * (columns - 1));
        const row = Math.round(((y - rear) / (front - rear)) * (rows - 1));
        return [shown.was, shown.is].map(({{ values }}) => values[4 * (row * columns + column)]); }}"""
    place = [float(x[column]), float(y[row])]
    assert page.locator(".before-after .ends").inner_text().split("\n") == ["Bare blank", "This seat"]
    slider.evaluate(slide, 0)
    until(page, "now", "0.00")
    was, now = page.evaluate(heights, place)
    assert (was, now) == pytest.approx((0.0, -16.0), abs=0.3)
    assert slider.get_attribute("aria-valuetext") == "Bare blank"
    page.goto(f"{address}/#wishes")
    page.get_by_label("Depth of the hollow, typed").fill("13")
    page.get_by_label("Depth of the hollow, typed").press("Tab")
    page.get_by_text("Best shape: deepest 13 mm").wait_for()
    page.goto(f"{address}/#seat")
    page.locator(".before-after p", has_text="The last change").wait_for()
    assert "leaves up to 3" in page.locator(".before-after").inner_text()
    slider.evaluate(slide, 0)
    until(page, "now", "0.00")
    was, now = page.evaluate(heights, place)
    assert (was, now) == pytest.approx((-16.0, -13.0), abs=0.5)
    page.get_by_label("the bare blank").check(force=True)
    assert page.evaluate(heights, place)[0] == pytest.approx(0.0, abs=1e-6)


def test_a_slow_machine_draws_fewer_dots_while_something_moves_and_all_of_them_then(view):
    """Where a dot takes so long that all of them take a second, a moving seat is drawn coarser, a still one in full."""
    page = view()
    share = page.evaluate(
        f"async () => {{ const {{ shareOf }} = await {own_module('view/fineness.js')};"
        " return [[200_000, 0], [200_000, 1e-4], [200_000, 5e-3], [20_000, 5e-3]].map((one) => shareOf(...one)); }"
    )
    assert share[:2] == [1, 1]
    assert share[2] < share[3] < 1
    turned = f"async () => {{ {SCENE} show({{ stand: {{ ...shown.stand, around: 77 }} }}); }}"
    page.evaluate(turned)
    until(page, "around", "77.0")
    until(page, "share", "1")
