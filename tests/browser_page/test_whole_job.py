"""The whole job, from an empty page to files and readings: by keys or touch alone, in two browsers, at any size."""

import importlib.util
import os

import pytest

from .browser import AS_IT_IS, WITHOUT_3D, found_firefox, keep_job, launched, launched_firefox
from .conftest import is_fault, kept_job, shaped

WIDE, UPRIGHT, LYING, TWICE = (
    {"width": 1280, "height": 800},
    {"width": 390, "height": 844},
    {"width": 844, "height": 390},
    {"width": 640, "height": 400},
)
"""A screen, a telephone held both ways, and that screen with its letters drawn twice as large."""
SHAPED_MS = 180_000
STEPS = ("wood", "wishes", "seat", "compare", "take", "bench")


class Keys:
    """Hands that have a keyboard and nothing else."""

    def __init__(self, page):
        self.page = page

    def to(self, what):
        what.wait_for()
        for _ in range(200):
            if what.evaluate("(one) => one === document.activeElement"):
                return
            self.page.keyboard.press("Tab")
        pytest.fail(f"Tab never comes to {what}")

    def press(self, what):
        self.to(what)
        self.page.keyboard.press("Enter")

    def write(self, what, text):
        self.to(what)
        self.page.keyboard.press("Control+A")
        self.page.keyboard.type(text)
        self.page.keyboard.press("Tab")

    def slide(self, what):
        self.to(what)
        for _ in range(3):
            self.page.keyboard.press("ArrowLeft")


class Fingers:
    """Hands on glass; letters come from the telephone's own keys."""

    def __init__(self, page):
        self.page = page

    def press(self, what):
        what.scroll_into_view_if_needed()
        what.tap()

    def write(self, what, text):
        self.press(what)
        self.page.keyboard.press("Control+A")
        self.page.keyboard.insert_text(text)
        what.evaluate("(one) => one.blur()")

    def slide(self, what):
        what.scroll_into_view_if_needed()
        box = what.bounding_box()
        self.page.touchscreen.tap(box["x"] + 0.35 * box["width"], box["y"] + box["height"] / 2)


def until(page, holds):
    """Wait for what the page says; Firefox waits for no function where the page forbids eval."""
    for _ in range(SHAPED_MS // 500):
        if page.evaluate(holds):
            return
        page.wait_for_timeout(500)
    pytest.fail(f"it never holds: {holds}; the job's gauge is {kept_job(page)['gauge']}")


def is_mesh(answer):
    return answer.status == 200 and answer.headers.get("content-type", "").startswith("model/stl")


def do_the_job(page, hands):
    """Do it; returns the job that the browser keeps at the end."""
    find = page.get_by_role
    hands.write(page.get_by_label("Name", exact=True), "Nan")
    hands.write(page.get_by_label("Stature", exact=True), "1640")
    hands.write(page.get_by_label("Body mass", exact=True), "61")
    hands.press(find("link", name="The wood and the chair →"))
    hands.write(page.get_by_label("Thickness", exact=True), "48")
    hands.press(find("link", name="Wishes →"))
    shaped(page)
    before = page.get_by_label("Depth of the hollow, typed").input_value()
    hands.slide(find("slider", name="Depth of the hollow"))
    assert page.get_by_label("Depth of the hollow, typed").input_value() != before
    page.wait_for_selector("body[data-seat=shaped]", timeout=SHAPED_MS)
    hands.press(find("link", name="The seat →"))
    find("heading", name="Contact map, Nan").wait_for()
    hands.press(find("link", name="Side by side →"))
    page.get_by_text("One sitter so far.").wait_for()
    hands.press(find("link", name="Take away →"))
    with page.expect_response(is_mesh, timeout=SHAPED_MS):
        hands.press(find("button", name="STL", exact=True))
    hands.press(find("link", name="At the bench →"))
    find("heading", name="At the bench").wait_for()
    hands.press(find("link", name="Gauge", exact=True))
    page.locator("#crossing").wait_for()
    page.locator(".expected dd").first.wait_for()
    for key in "60":
        hands.press(page.locator(f".keys button:text-is('{key}')"))
    hands.press(page.locator(".keys button:text-is('Next')"))
    until(page, "Object.keys(JSON.parse(localStorage.getItem('seatmesh job')).gauge.readings).length === 1")
    return kept_job(page)


def check(page, hands):
    faults = []
    page.on("pageerror", lambda error: faults.append(str(error)))
    page.on("console", lambda said: faults.append(said.text) if is_fault(said) else None)
    job = do_the_job(page, hands)
    assert job["sitters"][0]["measures"] == {"stature_mm": 1640, "mass_kg": 61}
    assert job["blank"] == {"thickness_mm": 48}
    assert set(job["wishes"]) == {"depth_mm"}
    assert [one["text"] for one in job["gauge"]["readings"].values()] == ["60"]
    assert faults == []


def started(context, address, size):
    page = context.new_page()
    page.set_viewport_size(size)
    page.set_default_timeout(60_000)
    keep_job(page, address, None)
    page.goto(f"{address}/#sitters")
    page.wait_for_selector("#step > h1")
    return page


SLOW = pytest.mark.slow


@pytest.mark.parametrize(
    ("size", "scheme"),
    [
        (UPRIGHT, "light"),
        pytest.param(UPRIGHT, "dark", marks=SLOW),
        pytest.param(LYING, "light", marks=SLOW),
        pytest.param(LYING, "dark", marks=SLOW),
        pytest.param(WIDE, "light", marks=SLOW),
        pytest.param(TWICE, "dark", marks=SLOW),
    ],
)
def test_by_touch_alone(playwright, address, size, scheme):
    with launched(playwright, WITHOUT_3D) as browser:
        context = browser.new_context(
            has_touch=True, is_mobile=size["width"] < 1000, viewport=size, color_scheme=scheme
        )
        page = started(context, address, size)
        check(page, Fingers(page))


@pytest.mark.slow
@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", [WIDE, UPRIGHT, LYING, TWICE])
def test_by_keys_alone(chromium, address, size, scheme):
    context = chromium.new_context(color_scheme=scheme)
    page = started(context, address, size)
    check(page, Keys(page))
    context.close()


@pytest.fixture(scope="module")
def needs_firefox():
    missing = [
        words
        for words, found in (
            ("a Firefox (Debian: apt-get install firefox-esr)", found_firefox()),
            ("the package playwright", importlib.util.find_spec("playwright")),
        )
        if not found
    ]
    if missing and os.environ.get("CI"):
        pytest.fail(f"under CI the page is tested in Firefox too: {' and '.join(missing)} is missing")
    if missing:
        pytest.skip(f"the page is not tested in Firefox: {' and '.join(missing)} is missing")


@pytest.mark.parametrize(
    ("size", "scheme"),
    [
        (WIDE, "light"),
        (UPRIGHT, "dark"),
        (LYING, "light"),
        (TWICE, "dark"),
    ],
)
@pytest.mark.slow
@pytest.mark.usefixtures("needs_firefox")
def test_in_firefox_by_keys_alone(playwright, address, size, scheme):
    with launched_firefox(playwright, scheme) as browser:
        context = browser.new_context(**AS_IT_IS)
        page = started(context, address, size)
        assert page.evaluate("matchMedia('(prefers-color-scheme: dark)').matches") == (scheme == "dark")
        check(page, Keys(page))
        for step in STEPS:
            page.goto(f"{address}/#{step}")
            page.wait_for_selector("#step > h1")
            wider = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
            assert page.evaluate(wider) <= 0, step
