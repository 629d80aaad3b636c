"""The page in a real browser. Under CI a missing browser fails; where there is none these tests skip and say so."""

from __future__ import annotations

import base64
import importlib.util
import os

import pytest

from .browser import PATIENCE_MS, WITH_3D, WITHOUT_3D, found_browser, keep_job, launched, service

WIDE, NARROW = {"width": 1280, "height": 900}, {"width": 390, "height": 844}
DOT = base64.b64decode(
    "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5ErkJggg=="
)
HARMLESS = ("GL Driver Message", "GPU stall", "WebGL", "Failed to load resource")
"""Drawing by the processor is slow, and says so; what the service refuses is looked at on the page."""


SAMPLES = {
    "test_all_of_the_order": ("[blank]", "is_the_same_again", "stays_as_typed"),
    "test_example": ("every_step",),
    "test_files_to_take": ("four_groups", "mock_up_is_cut"),
    "test_gauge_bench": ("may_go_on", "keyboard_alone", "large_keys[size0]", "bad_number", "slips_are", "a_cut"),
    "test_old_results": ("marked_on_every_step", "title_and_units", "edge"),
    "test_photograph": ("by_mouse", "by_touch", "never_leaves"),
    "test_refusals_in_words": ("many_ways", "quick_sample", "[floor", "[leg", "stands_in_its_field"),
    "test_small_windows": ("covered[size0]", "third_of_a_telephone", "[wishes", "on_paper"),
    "test_view": ("keys_turn", "tap_tells", "cut_follows"),
    "test_view_context": ("lost_context", "without_3d", "shape_ahead"),
}  # fmt: skip
"""What of the long files is tried on every change, by words of its names; the rest is slow."""


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items):
    for item in items:
        words = SAMPLES.get(item.path.stem)
        if words and item.path.parent.name == "browser_page" and not any(one in item.name for one in words):
            item.add_marker(pytest.mark.slow)


@pytest.fixture(scope="session")
def needs_browser():
    missing = [
        words
        for words, found in (
            ("a Chromium (Debian: apt-get install chromium)", found_browser()),
            ("the package playwright", importlib.util.find_spec("playwright")),
        )
        if not found
    ]
    if missing and os.environ.get("CI"):
        pytest.fail(f"under CI the page is tested: {' and '.join(missing)} is missing")
    if missing:
        pytest.skip(f"the page is not tested: {' and '.join(missing)} is missing")


@pytest.fixture(scope="session")
def address(needs_browser, tmp_path_factory):
    with service(tmp_path_factory.mktemp("kept")) as one:
        yield one


@pytest.fixture(scope="session")
def playwright(needs_browser):
    from playwright.sync_api import sync_playwright

    with sync_playwright() as one:
        yield one


@pytest.fixture(scope="session")
def chromium(playwright):
    with launched(playwright, WITHOUT_3D) as one:
        yield one


@pytest.fixture(scope="session")
def chromium_3d(playwright):
    with launched(playwright, WITH_3D) as one:
        yield one


@pytest.fixture(scope="session")
def context(chromium):
    """Return the one context of the quick tests, so that the page's files are fetched once.

    Drawing in 3D by the processor takes longer than all else, so it is left to the tests that are about it; the
    service's picture, which would stand there, is a dot.
    """
    one = chromium.new_context(accept_downloads=True)
    one.route("**/pictures/view.png", lambda route: route.fulfill(body=DOT, content_type="image/png"))
    yield one
    one.close()


@pytest.fixture
def opened(context, address):
    """Return a function that opens the page; at the end no page may have had an error, or asked anyone else."""
    pages, faults = [], []

    def open_page(job=None, step="", size=WIDE, within=context):
        page = within.new_page()
        pages.append(page)
        page.set_viewport_size(size)
        page.set_default_timeout(PATIENCE_MS)
        page.on("pageerror", lambda error: faults.append(str(error)))
        page.on("console", lambda said: faults.append(said.text) if is_fault(said) else None)
        page.on(
            "request", lambda asked: faults.append(asked.url) if is_elsewhere(asked.url, address) else None
        )
        keep_job(page, address, job)
        page.goto(f"{address}/#{step}")
        # The page first asks the service for its words.
        page.wait_for_selector("#step > h1, #step > .refusal", state="attached")
        return page

    yield open_page
    for page in pages:
        page.close()
    assert faults == []


def is_fault(said):
    return said.type == "error" and not any(words in said.text for words in HARMLESS)


def is_elsewhere(url, address):
    return not url.startswith((address, "data:", "blob:"))


@pytest.fixture(scope="session")
def modules(context, address):
    """Return a function that runs JavaScript with a module of the page as `one` and a value as `given`."""
    page = context.new_page()
    keep_job(page, address, None)

    def run(name, script, given=None):
        code = f"async (given) => {{ const one = await import('/page/{name}'); {script} }}"
        return page.evaluate(code, given)

    yield run
    page.close()


def shaped(page):
    """Wait until the best shape is there, and a step, whose modules come by themselves."""
    page.wait_for_selector("#step > h1, #step > .refusal", state="attached")
    page.wait_for_selector("body[data-seat=shaped]")


def kept_job(page):
    """Return the job as the browser keeps it."""
    return page.evaluate("JSON.parse(localStorage.getItem('seatmesh job'))")
