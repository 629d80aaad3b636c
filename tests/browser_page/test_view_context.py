"""The view's one WebGL context: never a second, given back when it was lost, a picture where there is none."""

import base64
import io

import numpy as np
import pytest
from PIL import Image

from .browser import PATIENCE_MS, keep_job
from .conftest import shaped
from .jobs import ONE
from .view_tools import CANVAS, COUNT_CONTEXTS, colours_at, drawn

STEPS = ("wishes", "seat", "compare", "wood", "seat", "take", "wishes", "bench")


@pytest.fixture
def within(chromium_3d):
    one = chromium_3d.new_context(reduced_motion="reduce")
    one.add_init_script(COUNT_CONTEXTS)
    yield one
    one.close()


def test_two_hundred_changes_of_step_make_one_context(opened, within, address):
    page = opened(ONE, "seat", within=within)
    warned = []
    page.on("console", lambda said: warned.append(said.text))
    page.set_default_timeout(PATIENCE_MS)
    drawn(page)
    for number in range(200):
        step = STEPS[number % len(STEPS)]
        page.evaluate("(step) => { location.hash = step; }", step)
        page.wait_for_function(
            "(step) => document.querySelector('[aria-current=step]').hash === `#${step}`", arg=step
        )
    page.evaluate("location.hash = 'seat'")
    drawn(page)
    assert page.evaluate("contextsMade()") == 1
    assert page.locator(CANVAS).count() == 1
    assert [words for words in warned if "too many" in words.lower()] == []
    assert colours_at(page, [[0.0, 200.0, -5.0]])[0][3] == 255


def test_a_lost_context_comes_back_with_the_same_seat(opened, within):
    page = opened(ONE, "seat", within=within)
    page.set_default_timeout(PATIENCE_MS)
    drawn(page)
    places = [[x, y, 0.0] for x in (-150.0, 0.0, 150.0) for y in (60.0, 200.0, 380.0)]
    before = colours_at(page, places)
    page.evaluate(
        f"window.loss = document.querySelector('{CANVAS}').getContext('webgl2').getExtension('WEBGL_lose_context')"
    )
    page.evaluate("loss.loseContext()")
    page.get_by_text("The browser took the drawing away").wait_for()
    page.get_by_role("button", name="Turn to the right").click()
    page.get_by_role("button", name="Turn to the left").click()
    page.evaluate("loss.restoreContext()")
    page.get_by_text("The browser took the drawing away").wait_for(state="hidden")
    assert colours_at(page, places) == before
    assert page.evaluate("contextsMade()") == 1


def test_only_heights_are_sent_while_a_wish_is_slid(opened, within):
    page = opened(ONE, "wishes", within=within)
    page.set_default_timeout(PATIENCE_MS)
    drawn(page)
    slider = page.get_by_role("slider", name="Depth of the hollow")
    slide = "(one, mm) => { one.value = mm; one.dispatchEvent(new Event('input', { bubbles: true })); }"
    slider.evaluate(slide, 15)
    page.wait_for_selector("body[data-seat=following]")
    page.wait_for_timeout(500)
    page.evaluate(
        """() => {
        window.sent = {};
        for (const name of ['bufferData', 'texImage2D', 'texSubImage2D', 'linkProgram']) {
            const own = WebGL2RenderingContext.prototype[name];
            WebGL2RenderingContext.prototype[name] = function (...all) {
                window.sent[name] = (window.sent[name] ?? 0) + 1;
                return own.apply(this, all);
            };
        }
    }"""
    )
    for mm in (16, 17, 18):
        with page.expect_response("**/seats/previews"):
            slider.evaluate(slide, mm)
        page.wait_for_timeout(300)
    sent = page.evaluate("sent")
    assert set(sent) == {"texSubImage2D"}
    # Each preview sends heights and pressure, and what is foreseen heights.
    assert 6 <= sent["texSubImage2D"] <= 24


def test_a_word_stands_there_until_the_seat_is_drawn(opened, within):
    held = []

    def hold(route):
        held.append(route)

    within.route("**/seats", hold)
    page = opened(ONE, "seat", within=within)
    page.get_by_text("The seat is being drawn").wait_for()
    held[0].continue_()
    page.set_default_timeout(PATIENCE_MS)
    drawn(page)
    assert not page.get_by_text("The seat is being drawn").is_visible()


def test_without_3d_a_picture_and_a_word_stand_there(opened):
    page = opened(ONE, "seat")
    page.get_by_text("This browser cannot draw in 3D").wait_for()
    shaped(page)
    page.wait_for_function("() => document.querySelector('.view-picture').naturalWidth > 0")
    assert page.locator(CANVAS).count() == 0
    assert page.get_by_role("group", name="Turn the seat").count() == 0


def test_a_driver_that_refuses_the_programs_leaves_the_picture(opened, within):
    within.add_init_script("WebGL2RenderingContext.prototype.getProgramParameter = () => false;")
    page = opened(ONE, "seat", within=within)
    shaped(page)
    page.get_by_text("This browser cannot draw in 3D").wait_for()
    assert page.locator(CANVAS).count() == 0


def test_the_shape_ahead_of_the_service_lies_on_the_line_through_two_previews(modules):
    grid = {"x_mm": [0, 1], "y_mm": [0, 1], "outline_mm": [[0, 0], [1, 0], [1, 1]]}
    flat, steep = ({**grid, "depth_mm": rows} for rows in ([[0, 4], [6, 8]], [[2, 4], [12, 4]]))
    order = {"blank": {}, "wishes": {"depth_mm": 10, "rim": "crisp"}}
    deeper = {"blank": {}, "wishes": {"depth_mm": 12, "rim": "crisp"}}
    known = [{"order": order, "grid": flat}, {"order": deeper, "grid": steep}]

    def foreseen(wishes, blank=None):
        wanted = {"blank": blank or {}, "wishes": wishes}
        return modules("seat/foresight.js", "return one.foreseen(...given);", [wanted, known])

    assert foreseen({"depth_mm": 11, "rim": "crisp"})["depth_mm"] == [[1, 4], [9, 6]]
    # From the nearer of the two; never above the blank.
    assert foreseen({"depth_mm": 14, "rim": "crisp"})["depth_mm"] == [[4, 4], [18, 0]]
    for wishes, blank in (
        ({"depth_mm": 20, "rim": "crisp"}, None),
        ({"depth_mm": 11, "rim": "eased"}, None),
        ({"depth_mm": 11, "rim": "crisp"}, {"width_mm": 500}),
    ):
        assert foreseen(wishes, blank) is None


def picture_of_map(page):
    """Return the painted map as the page shows it, as an array of pixels."""
    page.wait_for_selector(".map image[href]")
    address = page.evaluate(
        """async () => {
        const picture = new Image();
        picture.src = document.querySelector('.map image').getAttribute('href');
        await picture.decode();
        const canvas = document.createElement('canvas');
        [canvas.width, canvas.height] = [picture.width, picture.height];
        canvas.getContext('2d').drawImage(picture, 0, 0);
        return canvas.toDataURL();
    }"""
    )
    return np.array(Image.open(io.BytesIO(base64.b64decode(address.partition(",")[2]))).convert("RGBA"))


def test_maps_are_painted_by_a_worker_and_alike_by_the_page_where_workers_are_forbidden(chromium, address):
    maps = []
    for script in ("", "delete window.Worker;"):
        context = chromium.new_context()
        context.add_init_script(script or "0")
        page = context.new_page()
        started = []
        page.on("worker", lambda one, started=started: started.append(one.url))
        keep_job(page, address, ONE)
        page.goto(f"{address}/#compare")
        shaped(page)
        maps.append(picture_of_map(page))
        assert len(started) == (0 if script else 1)
        context.close()
    by_worker, by_page = maps
    assert np.array_equal(by_worker, by_page)
    assert by_worker.shape == (860, 960, 4)
    # Corners of the outline are clear, wood and pressure are not, and there is more than one band.
    assert by_worker[0, 0, 3] == 0
    assert len(np.unique(by_worker[..., :3].reshape(-1, 3), axis=0)) > 8
