"""Marks off a photograph, by mouse, touch and keys; the pictures are drawn by a known camera, so truth is known."""

import numpy as np
import pytest
from PIL import Image

from seatmesh.marks.suggested_points import suggested_points
from seatmesh.wood.blank import Blank

from .conftest import NARROW, kept_job
from .drawn_photographs import as_file, picture
from .jobs import ONE
from .test_reach import axe_faults

WIDE = {"width": 1280, "height": 800}
SIZE_PX = (3200, 2400)
BLANK = {"outline": "straight-sided", "width_mm": 480, "depth_mm": 430}
JOB = {**ONE, "blank": BLANK}
MARKS = (
    ("sit bone", "left", (-58.0, 152.0)),
    ("sit bone", "right", (61.0, 149.0)),
    ("end of the spine", "middle", (2.0, 92.0)),
)
CROSSES = ((-110.0, 110.0), (110.0, 110.0), (110.0, 320.0), (-110.0, 320.0))
EDGE = tuple(
    (float(x), float(y)) for x, y in ((-120, 0), (120, 0), (240, 110), (240, 320), (120, 430), (-120, 430))
)


class Drawn:
    """A picture, and where in it things truly are."""

    def __init__(self, photographs, **camera):
        self.outline = Blank(**BLANK).polygon_mm()
        self.photo = photographs.Pinhole(size_px=SIZE_PX, fill=0.93, **camera).over(self.outline)
        self.image = picture(self.photo, self.outline, CROSSES, [at for *_, at in MARKS])

    def pixel(self, place):
        return self.photo.pixels(np.array([place]))[0]


@pytest.fixture(scope="module")
def tilted(photographs):
    return Drawn(photographs, tilt_deg=32.0, from_deg=14.0, turn_deg=-6.0, k1=-0.12)


@pytest.fixture(scope="module")
def steep(photographs):
    return Drawn(photographs, tilt_deg=44.0, from_deg=-25.0, turn_deg=3.0, k1=-0.08)


@pytest.fixture(scope="module")
def level(photographs):
    return Drawn(photographs, tilt_deg=25.0, from_deg=5.0, turn_deg=9.0, k1=0.06, focal=1.5)


def opened_with(opened, drawn, size):
    page = opened(JOB, "bench/photograph", size)
    page.get_by_label("Open a picture").set_input_files(as_file(drawn.image))
    page.locator(".photo-handle").nth(3).wait_for()
    page.get_by_text("3200 × 2400 pixels").wait_for()
    return page


def frame(page):
    """Return left and top of the picture on the screen, and how large a pixel of it is; the whole of it is shown."""
    stage = page.locator(".photo-stage")
    stage.scroll_into_view_if_needed()
    left, top, width, height = stage.evaluate(
        "(one) => { const box = one.getBoundingClientRect();"
        " return [box.left + one.clientLeft, box.top + one.clientTop, one.clientWidth, one.clientHeight]; }"
    )
    scale = min(width / SIZE_PX[0], height / SIZE_PX[1])
    return left + (width - scale * SIZE_PX[0]) / 2, top + (height - scale * SIZE_PX[1]) / 2, scale


def on_screen(page, pixel):
    left, top, scale = frame(page)
    return left + scale * float(pixel[0]), top + scale * float(pixel[1])


class Mouse:
    """Drags and taps with a mouse; where a picture is small on the screen, fine work is done with it enlarged."""

    def __init__(self, page):
        self.page = page

    def drag(self, start, end):
        mouse = self.page.mouse
        mouse.move(*start)
        mouse.down()
        mouse.move((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
        mouse.move(*end)
        mouse.up()

    def tap(self, at):
        self.page.mouse.click(*at)


class Finger(Mouse):
    """The same with a finger."""

    def __init__(self, page):
        super().__init__(page)
        self.touch = page.context.new_cdp_session(page)

    def _send(self, kind, *points):
        places = [{"x": x, "y": y, "id": k} for k, (x, y) in enumerate(points)]
        self.touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": places})

    def drag(self, start, end):
        self._send("touchStart", start)
        for share in (0.3, 0.7, 1.0):
            self._send("touchMove", tuple(a + share * (b - a) for a, b in zip(start, end, strict=True)))
        self._send("touchEnd")

    def tap(self, at):
        self._send("touchStart", at)
        self._send("touchEnd")

    def pinch(self, middle, before, after):
        for kind, apart in (
            ("touchStart", before),
            ("touchMove", (before + after) / 2),
            ("touchMove", after),
        ):
            self._send(kind, (middle[0] - apart, middle[1]), (middle[0] + apart, middle[1]))
        self._send("touchEnd")


def middle_of(locator):
    box = locator.bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def pixel_of(handle):
    """Return the pixel that a handle's name tells, to a whole one."""
    words = handle.get_attribute("aria-label").split(": ")[1]
    across, down = words.split(", ")[:2]
    return np.array([float(across.split()[0]), float(down.split()[0])])


def put_first(page, hand, drawn):
    """Drag the four numbered points onto their corners, first roughly, then with the picture enlarged."""
    places = dict(suggested_points(Blank(**BLANK)))
    for name in list(places)[:4]:
        handle = page.locator(f".photo-handle[aria-label^='{name}']")
        true = drawn.pixel(places[name])
        target = on_screen(page, true)
        hand.drag(middle_of(handle), target)
        refine(page, hand, handle, true)


def refine(page, hand, handle, true):
    """Enlarge the picture about the point, drag it by what is missing, and show the whole picture again."""
    for _ in range(4):
        page.get_by_role("button", name="Enlarge the picture").click()
    page.locator(".photo-stage").scroll_into_view_if_needed()
    *_, scale = frame(page)
    scale *= 1.5**4
    start = middle_of(handle)
    missing = scale * (true - pixel_of(handle))
    if np.abs(missing).max() > 1.0:
        hand.drag(start, (start[0] + float(missing[0]), start[1] + float(missing[1])))
    assert np.abs(pixel_of(handle) - true).max() <= 1.5
    page.get_by_role("button", name="Show the whole picture").click()


def choose(page, label):
    page.get_by_label(label, exact=True).check(force=True)


def tap_edges(page, hand, drawn):
    choose(page, "a point on the edge")
    for place in EDGE:
        hand.tap(on_screen(page, drawn.pixel(place)))
    handles = page.locator(".photo-handle.edge")
    assert handles.count() == len(EDGE)
    for k, place in enumerate(EDGE):
        refine_chosen(page, hand, handles.nth(k), drawn.pixel(place))


def refine_chosen(page, hand, handle, true):
    start = middle_of(handle)
    hand.drag(start, (start[0] + 4, start[1]))
    refine(page, hand, handle, true)


def tap_crosses(page, hand, drawn):
    choose(page, "a point that I know")
    page.get_by_label("Which", exact=True).select_option("a cross that I measured")
    for number, (x, y) in enumerate(CROSSES, start=1):
        choose(page, "left" if x < 0 else "right")
        page.get_by_label("From the centre line").fill(str(abs(x)))
        page.get_by_label("From the rear edge").fill(str(y))
        hand.tap(on_screen(page, drawn.pixel((x, y))))
        refine_chosen(
            page, hand, page.locator(f".photo-handle[aria-label^='cross {number}']"), drawn.pixel((x, y))
        )


def tap_marks(page, hand, drawn):
    choose(page, "a mark")
    for number, (name, side, place) in enumerate(MARKS):
        page.get_by_label("Which mark").select_option(name)
        if side != "middle":
            choose(page, side)
        hand.tap(on_screen(page, drawn.pixel(place)))
        refine_chosen(page, hand, page.locator(".photo-handle.mark").nth(number), drawn.pixel(place))


def added(page):
    """Add the marks and return them as the job keeps them."""
    page.get_by_text("points agree").wait_for()
    button = page.get_by_role("button", name="Add these marks")
    button.click()
    return kept_job(page)["marks"]


def check_marks(marks):
    assert len(marks) == len(MARKS)
    for mark, (name, side, place) in zip(marks, MARKS, strict=True):
        assert (mark["name"], mark["side"]) == (name, side)
        assert np.hypot(mark["x_mm"] - place[0], mark["y_mm"] - place[1]) <= 1.5
        assert 3.0 <= mark["standard_error_mm"] < 3.5


@pytest.mark.parametrize(
    ("size", "name"), [(WIDE, "tilted"), pytest.param(NARROW, "steep", marks=pytest.mark.slow)]
)
def test_marks_are_placed_by_mouse(opened, request, size, name):
    drawn = request.getfixturevalue(name)
    page = opened_with(opened, drawn, size)
    hand = Mouse(page)
    put_first(page, hand, drawn)
    tap_edges(page, hand, drawn)
    tap_crosses(page, hand, drawn)
    tap_marks(page, hand, drawn)
    check_marks(added(page))
    page.get_by_text("3 marks added to the fitting marks").wait_for()


@pytest.mark.parametrize(
    ("size", "name"), [(NARROW, "tilted"), pytest.param(WIDE, "level", marks=pytest.mark.slow)]
)
def test_marks_are_placed_by_touch(chromium, address, request, size, name):
    from .browser import keep_job

    drawn = request.getfixturevalue(name)
    context = chromium.new_context(viewport=size, has_touch=True)
    page = context.new_page()
    keep_job(page, address, JOB)
    page.goto(f"{address}/#bench/photograph")
    page.get_by_label("Open a picture").set_input_files(as_file(drawn.image))
    page.locator(".photo-handle").nth(3).wait_for()
    hand = Finger(page)
    put_first(page, hand, drawn)
    tap_edges(page, hand, drawn)
    tap_crosses(page, hand, drawn)
    tap_marks(page, hand, drawn)
    check_marks(added(page))
    context.close()


def walk(page, true):
    """Move the focused point with the arrow keys, by hundreds, tens and single pixels."""
    for _ in range(3):
        here = page.evaluate("document.activeElement.getAttribute('aria-label')").split(": ")[1].split(", ")
        missing = np.round(true - np.array([float(one.split()[0]) for one in here[:2]])).astype(int)
        if not missing.any():
            return
        for way, keys in zip(
            missing.tolist(), (("ArrowLeft", "ArrowRight"), ("ArrowUp", "ArrowDown")), strict=True
        ):
            key, left = keys[way > 0], abs(way)
            for held, step in (("Control+", 100), ("Shift+", 10), ("", 1)):
                for _ in range(left // step):
                    page.keyboard.press(held + key)
                left %= step


@pytest.mark.parametrize("size", [WIDE, pytest.param(NARROW, marks=pytest.mark.slow)])
def test_marks_are_placed_by_keys_alone(opened, level, size):
    page = opened_with(opened, level, size)
    places = dict(suggested_points(Blank(**BLANK)))
    page.locator(".photo-handle").first.focus()
    for name in list(places)[:4]:
        assert page.evaluate("document.activeElement.getAttribute('aria-label')").startswith(name)
        walk(page, level.pixel(places[name]))
        assert page.locator(".photo-loupe").is_visible()
        page.keyboard.press("Tab")

    def put(true):
        page.get_by_role("button", name="Put it in the middle").focus()
        page.keyboard.press("Enter")
        walk(page, true)

    for place in EDGE:
        put(level.pixel(place))
    page.get_by_label("a point on the edge", exact=True).focus()
    page.keyboard.press("ArrowRight")
    for name in list(places)[4:]:
        put(level.pixel(places[name]))
    for x, y in CROSSES:
        page.get_by_label("left" if x < 0 else "right", exact=True).focus()
        page.keyboard.press("Space")
        page.get_by_label("From the centre line").focus()
        page.keyboard.type(str(abs(x)))
        page.get_by_label("From the rear edge").focus()
        page.keyboard.type(str(y))
        put(level.pixel((x, y)))
    page.get_by_label("a point that I know", exact=True).focus()
    page.keyboard.press("ArrowRight")
    for name, side, place in MARKS:
        page.get_by_label("Which mark").focus()
        page.keyboard.type(name)
        if side != "middle":
            page.get_by_label(side, exact=True).focus()
            page.keyboard.press("Space")
        put(level.pixel(place))
    assert "across" in page.get_by_role("status").filter(has_text="across").inner_text()
    check_marks(added(page))


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_in_the_part(opened, level, scheme):
    page = opened(JOB, "bench/photograph", NARROW)
    page.emulate_media(color_scheme=scheme)
    page.get_by_role("heading", name="How to take it").wait_for()
    assert axe_faults(page) == []
    page.get_by_label("Open a picture").set_input_files(as_file(level.image))
    page.locator(".photo-handle").nth(3).wait_for()
    for kind in ("a point on the edge", "a point that I know", "a mark"):
        choose(page, kind)
        assert axe_faults(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= NARROW["width"]


def test_pictures_that_cannot_be_read_are_refused_in_words(opened):
    page = opened(JOB, "bench/photograph")
    picker = page.get_by_label("Open a picture")
    small = as_file(Image.new("RGB", (300, 200)), "small.png")
    for name, kind, data, words in (
        ("IMG_1.HEIC", "image/heic", b"ftypheic", "a HEIC picture: set the camera to JPEG"),
        ("broken.jpg", "image/jpeg", b"\xff\xd8 no more", "cannot be read as a picture"),
        ("notes.txt", "text/plain", b"notes", "is no picture"),
        ("small.png", "image/png", small["buffer"], "300 × 200 pixels: too few"),
    ):
        picker.set_input_files({"name": name, "mimeType": kind, "buffer": data})
        page.get_by_role("alert").get_by_text(words).wait_for()
    assert page.locator(".photo-handle").count() == 0


def test_a_picture_held_upright_is_turned_as_the_camera_says(opened):
    """Orientation 6 of EXIF: what is stored 1200 x 800 was held with its right side down."""
    exif = Image.Exif()
    exif[0x0112] = 6
    page = opened(JOB, "bench/photograph")
    page.get_by_label("Open a picture").set_input_files(
        as_file(Image.new("RGB", (1200, 800), "tan"), exif=exif)
    )
    page.get_by_text("800 × 1200 pixels").wait_for()
    assert page.locator(".photo-stage").get_attribute("data-shape") == "tall"


def test_large_pictures_keep_their_own_pixels(opened):
    """50 million pixels: drawn smaller, told in its own."""
    page = opened(JOB, "bench/photograph")
    image = Image.new("RGB", (8192, 6144), "tan")
    page.get_by_label("Open a picture").set_input_files(as_file(image))
    page.get_by_text("8192 × 6144 pixels").wait_for()
    corner = page.locator(".photo-handle[aria-label^='front left corner']")
    assert pixel_of(corner)[0] > 5000.0
    corner.focus()
    before = pixel_of(corner)
    page.keyboard.press("Shift+ArrowRight")
    assert pixel_of(corner) - before == pytest.approx([10.0, 0.0])


def test_the_picture_never_leaves_the_browser(opened, level):
    page = opened(JOB, "bench/photograph")
    sent = []
    page.on("request", lambda one: sent.append(one) if one.method == "POST" else None)
    page.get_by_label("Open a picture").set_input_files(as_file(level.image))
    handles = page.locator(".photo-handle")
    handles.nth(3).wait_for()
    with page.expect_response("**/photographs/marks"):
        for k in range(4):
            handles.nth(k).focus()
            page.keyboard.press("Enter")
    (asked,) = [one for one in sent if one.url.endswith("/photographs/marks")]
    assert set(asked.post_data_json) == {"blank", "image_size_px", "known", "edge", "mark"}
    assert max(len(one.post_data or "") for one in sent) < 4000


def test_points_are_removed_and_refused_by_name(opened, level):
    page = opened_with(opened, level, WIDE)
    hand = Mouse(page)
    put_first(page, hand, level)
    page.get_by_text("Nothing checks these points yet").wait_for()
    choose(page, "a point on the edge")
    hand.tap(on_screen(page, level.pixel((0.0, 215.0))))
    page.get_by_text("do not fit together").or_(page.get_by_text("agree but for")).wait_for()
    page.get_by_role("button", name="Remove edge point 1").click()
    page.get_by_text("Nothing checks these points yet").wait_for()
    first, second = (
        page.locator(f".photo-handle[aria-label^='rear {side} corner']") for side in ("left", "right")
    )
    ends = middle_of(first), middle_of(second)
    hand.drag(ends[0], (ends[1][0] + 3, ends[1][1] + 60))
    page.get_by_text("mixed up").or_(page.get_by_text("in a line")).wait_for()


def test_two_fingers_and_the_wheel_enlarge(chromium, address, level):
    from .browser import keep_job

    context = chromium.new_context(viewport=NARROW, has_touch=True)
    page = context.new_page()
    keep_job(page, address, JOB)
    page.goto(f"{address}/#bench/photograph")
    page.get_by_label("Open a picture").set_input_files(as_file(level.image))
    handles = page.locator(".photo-handle")
    handles.nth(3).wait_for()
    stage = page.locator(".photo-stage")
    stage.scroll_into_view_if_needed()

    def apart():
        one, two = middle_of(handles.nth(0)), middle_of(handles.nth(3))
        return np.hypot(one[0] - two[0], one[1] - two[1])

    before = apart()
    centre = middle_of(stage)
    Finger(page).pinch(centre, 30, 60)
    assert apart() > 1.5 * before
    assert page.locator(".photo-handle.edge").count() == 0
    page.get_by_role("button", name="Show the whole picture").click()
    assert apart() == pytest.approx(before, rel=0.01)
    page.mouse.move(*middle_of(stage))
    page.mouse.wheel(0, -300)
    page.wait_for_timeout(200)
    assert apart() > 1.5 * before
    context.close()
