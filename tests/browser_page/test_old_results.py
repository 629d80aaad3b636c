"""Results that the order has left behind are marked; what changes no shape asks for none; what a wish costs in peak."""

import re
from pathlib import Path

import pytest

from .conftest import kept_job, shaped
from .jobs import FOUR, ONE, in_units

SHEET = Path(__file__).parents[2] / "service" / "page" / "sheet.css"
LEAST_CONTRAST = 3.0
"""Of the edge of a field against what it lies on (WCAG 2.2, 1.4.11)."""


def marks(page):
    return [one for one in page.locator(".old-mark").all() if one.is_visible()]


def test_old_results_are_marked_on_every_step_until_there_is_a_new_seat(opened, address):
    page = opened(ONE, "wood")
    shaped(page)
    assert marks(page) == []
    page.get_by_label("Floor", exact=True).fill("41")
    page.get_by_label("Floor", exact=True).blur()
    page.wait_for_selector("body[data-seat=refused]")
    for step, fewest in (
        ("wishes", 2),
        ("seat", 5),
        ("compare", 2),
        ("take", 1),  # files of the seat before are not offered
        ("bench/marks", 1),
        ("wood", 1),
    ):
        page.evaluate("(step) => { location.hash = step; }", step)
        page.wait_for_timeout(300)
        page.wait_for_selector("body[data-seat=refused]")
        found = marks(page)
        assert len(found) >= fewest, step
        assert all("Old" in one.inner_text() for one in found), step
        # Not by colour alone: a word, and a dashed or hatched edge.
        assert found[0].evaluate("(one) => getComputedStyle(one).borderTopStyle") == "dashed"
    page.get_by_label("Floor", exact=True).fill("20")
    page.get_by_label("Floor", exact=True).blur()
    shaped(page)
    assert marks(page) == []
    assert [one for one in page.locator("main .refusal").all_inner_texts() if one.strip()] == []


def test_a_field_that_is_typed_in_marks_what_is_old_before_it_is_left(opened):
    page = opened({**ONE, "blank": {"thickness_mm": 45}}, "wood")
    shaped(page)
    field = page.get_by_label("Thickness", exact=True)
    field.press(
        "End"
    )  # where the caret stands at first is the browser's choice; before the 45 a 0 changes nothing
    field.press_sequentially("0")
    page.wait_for_selector("body[data-old]")
    field.press("Backspace")
    page.wait_for_selector("body:not([data-old])")


def test_title_and_units_ask_for_no_shape(opened, address):
    legs = [
        {"kind": "leg mortise", "x_mm": 165, "y_mm": 370, "diameter_mm": 25, "angle_deg": 12, "depth_mm": 12}
    ]
    page = opened({**ONE, "others": {"joint": legs}}, "wood")
    shaped(page)
    page.locator("#wood-cost").wait_for()
    page.get_by_text("Nan: the legs add").wait_for(timeout=60_000)
    asked = []
    page.on(
        "request", lambda one: asked.append(one.url) if one.method == "POST" and "seats" in one.url else None
    )
    for step in ("wood", "wishes", "seat", "sitters"):
        page.evaluate("(step) => { location.hash = step; }", step)
        page.wait_for_timeout(200)
        for units in ("inches", "mm"):
            page.get_by_role("radio", name=units).check(force=True)
            page.wait_for_timeout(200)
    page.get_by_label("What the seat is called").fill("Another title")
    page.get_by_label("What the seat is called").blur()
    page.wait_for_timeout(500)
    assert asked == []
    assert page.locator("body").get_attribute("data-seat") == "shaped"
    assert marks(page) == []
    page.evaluate("() => { location.hash = 'take'; }")
    with page.expect_download() as saved:
        page.get_by_role("button", name="Save the order file").click()
    assert 'title = "Another title"' in saved.value.path().read_text()


def test_a_seat_that_was_shaped_in_inches_is_told_in_millimetres_once_they_are_chosen(opened):
    page = opened(in_units(ONE, "in"), "seat")
    shaped(page)
    page.get_by_text("Tried on the model: ").wait_for()
    assert '"' in page.locator("main").inner_text()
    page.get_by_role("radio", name="mm").check(force=True)
    page.wait_for_function("() => /\\n6 mm\\t/.test(document.querySelector('main').innerText)")
    page.get_by_text("Tried on the model: ").wait_for()
    assert '"' not in page.locator("main").inner_text()
    assert page.locator("body").get_attribute("data-seat") == "shaped"


def test_what_a_wish_costs_in_peak_stands_beside_it_and_moves_nothing(opened):
    page = opened(ONE, "wishes")
    shaped(page)
    field = page.locator('[data-key="wishes.depth_mm"]')
    words = field.locator(".peak-change")
    assert words.inner_text() == ""
    below = page.locator('[data-key="wishes.closeness"]')
    before = below.bounding_box()["y"] - field.bounding_box()["y"]
    slider = field.locator("input[type=range]")
    slide = "(slider, value) => { slider.value = value; slider.dispatchEvent(new Event('input', { bubbles: true })); }"
    slider.evaluate(slide, 9)
    page.wait_for_function(
        "() => document.querySelector('[data-key=\"wishes.depth_mm\"] .peak-change').textContent"
    )
    told = re.fullmatch(r"\+(\d+\.\d) kPa, Nan", words.inner_text())
    assert told, words.inner_text()
    assert float(told[1]) > 0.5  # a hollow of 9 mm presses harder than one of 14
    assert below.bounding_box()["y"] - field.bounding_box()["y"] == before
    slider.evaluate("(slider) => slider.dispatchEvent(new Event('change', { bubbles: true }))")
    shaped(page)
    assert re.fullmatch(r"\+\d+\.\d kPa, Nan", words.inner_text())
    assert kept_job(page)["wishes"]["depth_mm"] == 9


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_edges_of_fields_are_seen(opened, scheme):
    page = opened(FOUR, "wood")
    page.emulate_media(color_scheme=scheme)
    pairs = page.evaluate(
        """() => [...document.querySelectorAll(
          'main input[type=text], main select, main .choices span, main button:not(.quiet)')]
        .filter((one) => one.offsetParent)
        .map((one) => {
          let around = one.parentElement;
          while (getComputedStyle(around).backgroundColor === 'rgba(0, 0, 0, 0)') around = around.parentElement;
          const own = getComputedStyle(one);
          return [own.borderTopColor, own.backgroundColor, getComputedStyle(around).backgroundColor];
        })"""
    )
    assert len(pairs) > 10
    for edge, inside, around in pairs:
        filled = contrast(inside, around) >= LEAST_CONTRAST  # what is filled is seen without its edge
        assert filled or min(contrast(edge, around), contrast(edge, inside)) >= LEAST_CONTRAST


@pytest.mark.parametrize("scheme", [0, 1])
def test_the_edge_is_seen_on_every_ground(scheme):
    values = [dict(re.findall(r"--(\w+): (#\w{6});", part)) for part in SHEET.read_text().split("@media", 1)]
    ground = values[scheme]
    for name in ("paper", "sheet", "wood"):
        assert contrast(ground["edge"], ground[name]) >= LEAST_CONTRAST, name


def contrast(one, other):
    """Contrast of two colours (WCAG 2.2, relative luminance)."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def luminance(colour):
    if colour.startswith("#"):
        rgb = [int(colour[k : k + 2], 16) for k in (1, 3, 5)]
    else:
        rgb = [int(one) for one in re.findall(r"\d+", colour)[:3]]
    linear = [c / 255 / 12.92 if c / 255 <= 0.04045 else ((c / 255 + 0.055) / 1.055) ** 2.4 for c in rgb]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
