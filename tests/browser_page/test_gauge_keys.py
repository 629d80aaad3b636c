"""Keys at the gauge: none is lost to what the service answers late, and one that means nothing says so."""

import pytest

from .conftest import WIDE, shaped
from .jobs import in_units
from .test_gauge_bench import JOB, at_the_gauge, expected, shown


@pytest.mark.parametrize("step", ["bench/gauge", "bench/read"])
def test_keys_before_and_after_a_late_sheet_count(opened, address, step):
    page = opened(JOB, step, WIDE)
    page.locator(".keys").wait_for()
    shaped(page)
    held = []
    page.route("**/gauge-sheet.csv*", lambda route: _hold(route, held))
    was = expected(page)
    # Another order, and so another sheet of the same crossings.
    page.evaluate(
        """async ([job, shaped]) => {
          const [{ change }, { shape }] = [await import(job), await import(shaped)];
          change((one) => { one.gauge.rod_offset_mm = 5; });
          change((one) => { one.blank.thickness_mm = 46; });
          shape();
        }""",
        [
            page.evaluate(f"document.querySelector('script[type=module]').src.replace('steps.js', '{name}')")
            for name in ("job/job.js", "seat/shaped-seat.js")
        ],
    )
    while not held:
        page.wait_for_timeout(100)
    page.locator(".keys button", has_text="6").first.focus()
    page.keyboard.type("6")
    page.keyboard.press("Enter")
    assert shown(page) == "66"
    held[0].continue_()
    page.locator(".expected dd").first.filter(has_text=f"{was + 5:g} mm").wait_for()
    # The key that was under the finger still is.
    page.keyboard.press("Enter")
    page.keyboard.type(".5")
    assert shown(page) == "666.5"


@pytest.mark.parametrize(("units", "keyed"), [("mm", "60.2"), ("in", "2 3/8")])
def test_digits_count_wherever_the_page_has_the_keyboard(opened, units, keyed):
    page = opened(in_units(JOB, units), "bench/gauge", WIDE)
    page.locator(".keys").wait_for()
    shaped(page)
    page.evaluate("document.activeElement.blur()")
    page.keyboard.type(keyed)
    assert shown(page) == keyed
    # A link is no place to key in a reading.
    page.get_by_role("link", name="Fitting marks").focus()
    page.keyboard.type("7")
    assert shown(page) == keyed


@pytest.mark.parametrize(("units", "words"), [("mm", "digits and the point"), ("in", "such as 2 3/8")])
def test_a_key_that_means_nothing_says_what_does(opened, units, words):
    page = opened(in_units(JOB, units), "bench/read")
    at_the_gauge(page)
    page.keyboard.type("60")
    page.keyboard.press("x")
    told = page.locator(".told")
    assert "“x” is no key here" in told.inner_text()
    assert words in told.inner_text()
    assert shown(page) == "60"


def test_what_the_readings_are_taken_by_is_seen_without_opening_it(opened):
    page = opened(JOB, "bench/gauge", WIDE)
    page.locator(".keys").wait_for()
    told = page.locator(".your-gauge summary")
    assert (
        told.inner_text() == "Your gauge Bar 60 mm above the wood, rod offset 0 mm, a crossing every 100 mm"
    )
    assert told.bounding_box()["y"] < page.locator("#crossing").bounding_box()["y"]


def _hold(route, held):
    held.append(route)
