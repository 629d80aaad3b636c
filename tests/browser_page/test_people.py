"""People not yet met, asked for on the page: the question that goes out, the work that is followed, what is shown."""

import json

import pytest

from .conftest import NARROW, shaped
from .jobs import FOUR, ONE, in_units
from .test_reach import axe_faults


def card(page):
    shaped(page)
    return page.locator("section.people")


def seated(page, count):
    """Ask for some people; return what was asked, and the service's answer to the same."""
    page.get_by_label("How many").fill(str(count))
    with page.expect_request(lambda asked: asked.url.endswith("/people")) as asked:
        page.get_by_role("button", name="Seat them").click()
    page.locator(".people-told:empty").wait_for(state="attached")
    page.locator(".served").wait_for()
    question = json.loads(asked.value.post_data)
    answer = page.request.post(asked.value.url, data=question)
    assert answer.ok
    return question, answer.json()


def test_a_share_is_asked_for_and_shown_as_the_service_says_it(opened):
    page = opened(FOUR, "compare", NARROW)
    place = card(page)
    asked, told = seated(page, 30)
    assert asked == {"public": "soldiers", "count": 30, "asked": {}}
    assert place.locator(".served").inner_text().startswith(f"{100 * told['served_share']:.1f}\u00a0%")
    rows = place.locator("table tr")
    assert rows.count() == 2 + len(told["criteria"])
    for number, one in enumerate(told["criteria"]):
        share = f"{100 * one['share']:.1f}\u00a0% ± {100 * one['standard_error']:.1f}"
        assert share in rows.nth(2 + number).inner_text()
    words = place.inner_text()
    for one in told["failing"]:
        assert f"{one['stature_mm']} mm" in words
    assert "not medical advice" in words
    assert axe_faults(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= NARROW["width"]


@pytest.mark.slow
def test_bounds_go_out_as_they_stand_and_an_old_answer_says_so(opened):
    page = opened(in_units(ONE, "in"), "compare")
    place = card(page)
    seated(page, 10)
    place.locator(".bounds summary").click()
    page.get_by_label("Knee-backs … or more ahead of the front edge", exact=True).fill("1 1/2")
    page.get_by_label("At most … of the load on wood outside the hollow", exact=True).fill("7")
    place.get_by_role("checkbox", name="Ask for it: peak at most … times that on").uncheck()
    page.get_by_label("Front edge above the ground").fill('17"')
    place.get_by_text("This is the answer to what was asked before").wait_for()
    asked, told = seated(page, 10)
    assert asked["asked"] == {
        "knee_clearance_mm": pytest.approx(38.1), "rim_load_share": pytest.approx(0.07), "peak_times_own_best": None,
    }  # fmt: skip
    assert asked["front_height_mm"] == pytest.approx(431.8)
    assert 'Knee-backs 1\N{NO-BREAK SPACE}1/2" or more ahead' in place.inner_text()
    assert not place.get_by_text("This is the answer to what was asked before").is_visible()
    assert "peak_times_own_best" not in {one["name"] for one in told["criteria"]}
    # What was typed is there again after a reload.
    page.reload()
    card(page)
    assert page.get_by_label("How many").input_value() == "10"


@pytest.mark.slow
def test_the_sheet_is_drawn_and_saved(opened):
    page = opened(ONE, "compare")
    place = card(page)
    seated(page, 12)
    page.get_by_role("button", name="Draw the sheet").click()
    place.locator(".people-sheet img").wait_for()
    page.wait_for_function("() => document.querySelector('.people-sheet img').naturalWidth > 1000")
    with page.expect_download() as saved:
        page.get_by_role("button", name="Save the sheet").click()
    assert saved.value.path().read_bytes().startswith(b"\x89PNG")


@pytest.mark.slow
def test_work_is_followed_and_can_be_stopped(opened):
    page = opened(ONE, "compare")
    place = card(page)
    page.get_by_label("How many").fill("20000")
    page.get_by_role("button", name="Seat them").click()
    place.get_by_text("of 20,000 …").wait_for()
    # The step is drawn anew, and the work is still told of.
    page.evaluate("dispatchEvent(new Event('hashchange'))")
    place.get_by_text("of 20,000 …").wait_for()
    assert page.get_by_role("button", name="Seat them").is_disabled()
    with page.expect_request(lambda asked: asked.method == "DELETE"):
        place.get_by_role("button", name="Stop").click()
    place.get_by_text("Stopped.").wait_for()
    seated(page, 8)


@pytest.mark.slow
def test_what_cannot_be_asked_is_said_at_its_field_and_by_the_service(opened):
    page = opened(ONE, "compare")
    place = card(page)
    count = page.get_by_label("How many")
    count.fill("0")
    count.press("Tab")
    assert "outside 1 to 20000" in place.locator(".field .refusal:visible").inner_text()
    page.get_by_role("button", name="Seat them").click()
    refusal = place.locator(".people-told .refusal")
    refusal.wait_for()
    assert "1 to 20000" in refusal.inner_text()
