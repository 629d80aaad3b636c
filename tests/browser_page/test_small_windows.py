"""Small windows: what follows stays small, folds away and covers nothing that has the focus; and the page on paper."""

import pytest

from .conftest import shaped
from .jobs import ONE

UPRIGHT, LYING, TWICE = ({"width": 390, "height": 844}, {"width": 844, "height": 390},
                         {"width": 640, "height": 400})  # fmt: skip
"""The last is a window of 1280 x 800 whose letters are drawn twice as large."""
COVERED = """() => {
  const at = document.activeElement.getBoundingClientRect();
  const panel = document.querySelector('.follows');
  const over = panel.getBoundingClientRect();
  if (panel.contains(document.activeElement)) return null;
  const across = Math.min(at.right, over.right) - Math.max(at.left, over.left);
  const down = Math.min(at.bottom, over.bottom) - Math.max(at.top, over.top);
  if (getComputedStyle(panel).position === 'sticky' && across > 1 && down > 1) return 'under the panel';
  return at.top < -1 || at.bottom > innerHeight + 1 ? 'out of sight' : null;
}"""
WIDER = "document.documentElement.scrollWidth - document.documentElement.clientWidth"


@pytest.mark.parametrize("size", [UPRIGHT, LYING, TWICE])
def test_nothing_that_has_the_focus_is_covered(opened, size):
    page = opened(ONE, "wishes", size)
    shaped(page)
    for key in ("Tab", "Shift+Tab"):
        seen = 0
        page.evaluate("document.querySelector('#step input[type=range]').focus()")
        for _ in range(25):
            page.keyboard.press(key)
            if page.evaluate("document.activeElement === document.body"):
                break
            seen += page.evaluate("document.activeElement.closest('.follows') === null")
            assert page.evaluate(COVERED) is None, page.evaluate("document.activeElement.outerHTML")
        assert seen > 5


def test_what_follows_takes_a_third_of_a_telephone_and_folds_away(opened):
    page = opened(ONE, "wishes", UPRIGHT)
    shaped(page)
    page.mouse.wheel(0, 900)
    panel = page.locator(".follows")
    page.wait_for_function("() => document.querySelector('.follows').getBoundingClientRect().top < 1")
    assert panel.bounding_box()["height"] <= 844 / 3 + 1
    assert "peak Nan" in panel.locator("summary").inner_text()
    panel.locator("summary").click()
    assert panel.bounding_box()["height"] < 75
    page.reload()
    shaped(page)
    panel.locator("summary").focus()
    page.keyboard.press("Enter")
    assert panel.bounding_box()["height"] < 75


@pytest.mark.parametrize("size", [UPRIGHT, LYING, TWICE, {"width": 320, "height": 568}])
@pytest.mark.parametrize("step", ["sitters", "wood", "wishes", "seat", "take", "bench"])
def test_nothing_is_wider_than_the_window(opened, size, step):
    page = opened(ONE, step, size)
    shaped(page)
    assert page.evaluate(WIDER) <= 0


def test_on_paper_there_are_no_controls_and_letters_are_dark(opened):
    page = opened(ONE, "seat")
    shaped(page)
    page.emulate_media(media="print", color_scheme="dark")
    controls = "button, input[type=range], nav, .units, #status"
    assert page.evaluate(
        "(controls) => [...document.querySelectorAll(controls)].filter((one) => one.checkVisibility()).length",
        controls,
    ) == 0  # fmt: skip
    assert page.evaluate("getComputedStyle(document.querySelector('h2')).color") == "rgb(0, 0, 0)"
    assert page.locator("h2:visible").count() > 3
    page.emulate_media(media="screen", color_scheme="light")
