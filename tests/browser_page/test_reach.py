"""For everyone: by keyboard alone, by screen reader (axe-core), in light and dark; with a token; without 3D."""

import io

import pytest
from PIL import Image

from .browser import keep_job, service
from .conftest import NARROW, WIDE, kept_job, shaped
from .jobs import BENCH, FOUR, ONE

STEPS = (
    "sitters",
    "wood",
    "wishes",
    "seat",
    "compare",
    "take",
    "bench/marks",
    "bench/photograph",
    "bench/remarks",
    "bench/gauge",
    "bench/read",
)
FOUR_AT_THE_BENCH = {**BENCH, "sitters": FOUR["sitters"], "marks": [], "blank": FOUR["blank"]}
AXE = {"resultTypes": ["violations"], "rules": {"target-size": {"enabled": True}}}
"""All rules of axe-core that are on by themselves, and the least size of what is pressed (WCAG 2.2, 2.5.8)."""
UNFOLD = "document.querySelectorAll('main details').forEach((one) => { one.open = true; })"


def focused(page):
    words = page.evaluate("(document.activeElement.labels?.[0] ?? document.activeElement).textContent.trim()")
    # A line does not end before an arrow.
    return words.replace("\u00a0", " ")


def tab_to(page, words, most=80):
    for _ in range(most):
        page.keyboard.press("Tab")
        if focused(page) == words:
            return
    raise AssertionError(f"Tab never comes to {words!r}")


def test_by_keyboard_alone(opened):
    page = opened()
    page.locator(".measure").first.wait_for()
    tab_to(page, "Skip to this step")
    page.keyboard.press("Enter")
    tab_to(page, "Name")
    page.keyboard.type("Nan")
    tab_to(page, "Stature")
    page.keyboard.type("1640")
    tab_to(page, "Body mass")
    page.keyboard.type("61")
    tab_to(page, "The wood and the chair →")
    page.keyboard.press("Enter")
    tab_to(page, "Wishes →")
    page.keyboard.press("Enter")
    page.get_by_role("heading", name="Wishes", level=1).wait_for()
    tab_to(page, "Depth of the hollow")
    for _ in range(4):
        page.keyboard.press("ArrowLeft")
    page.get_by_text("Best shape: deepest 16 mm").wait_for()
    assert kept_job(page)["wishes"] == {"depth_mm": 16}
    tab_to(page, "The seat →")
    page.keyboard.press("Enter")
    page.get_by_role("heading", name="Contact map, Nan").wait_for()
    tab_to(page, "Side by side →")


def test_readings_by_keyboard_alone(opened):
    page = opened(ONE, "bench/gauge")
    page.get_by_role("heading", name="Crossing ").wait_for()
    tab_to(page, "7")
    page.keyboard.type("58.5")
    assert page.locator(".shown").inner_text() == "58.5"


def axe_faults(page):
    """Whatever axe-core reports, of every impact: rule and the elements that break it."""
    from axe_playwright_python.sync_playwright import Axe

    found = Axe().run(page, options=AXE).response["violations"]
    return [(one["id"], [node["html"][:120] for node in one["nodes"]][:3]) for one in found]


def check_steps(page, address, steps):
    """No fault on any step, folded and unfolded, and nothing wider than the window."""
    faults = {}
    for step in steps:
        page.goto(f"{address}/#{step}")
        page.reload()  # so that no step before still stands there
        shaped(page)
        page.wait_for_timeout(200)
        for folds in ("folded", "unfolded"):
            if folds == "unfolded":
                page.evaluate(UNFOLD)
            if found := axe_faults(page):
                faults[step, folds] = found
            assert page.evaluate("document.documentElement.scrollWidth") <= page.viewport_size["width"], step
    assert faults == {}


def test_axe_finds_nothing_on_a_telephone(opened, address):
    check_steps(opened(BENCH, "sitters", NARROW), address, STEPS)


@pytest.mark.slow
@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", [WIDE, NARROW])
@pytest.mark.parametrize("job", [BENCH, FOUR_AT_THE_BENCH])
def test_axe_finds_nothing_at_any_width(opened, address, scheme, size, job):
    page = opened(job, "sitters", size)
    page.emulate_media(color_scheme=scheme)
    check_steps(page, address, STEPS)


def test_the_seat_is_drawn_in_3d_and_turned(opened, chromium_3d):
    page = opened(ONE, "wishes", within=chromium_3d.new_context())
    shaped(page)
    canvas = page.locator("canvas.view")
    for _ in range(40):
        before = canvas.screenshot()
        # Pressure, wood and its side, each shaded, are some thousand colours; an empty canvas has a few dozen.
        if len(Image.open(io.BytesIO(before)).convert("RGB").getcolors(1_000_000)) > 500:
            break
        page.wait_for_timeout(250)
    else:
        pytest.fail("nothing was drawn")
    assert "hollow is up to 14 mm deep" in canvas.get_attribute("aria-label")
    page.get_by_role("button", name="Turn to the right").click()
    page.wait_for_timeout(300)
    assert canvas.screenshot() != before


def test_a_service_that_does_not_answer_is_asked_again(opened, context):
    context.route("**/vocabulary", lambda route: route.abort(), times=1)
    page = opened()
    page.get_by_role("alert").get_by_text("The service does not answer").wait_for()
    page.get_by_role("button", name="Try again").click()
    page.get_by_role("heading", name="Who sits").wait_for()


@pytest.mark.slow
def test_a_token_is_asked_for_once(chromium, tmp_path):
    token = "walnut-and-ash-and-elm"
    with service(tmp_path, "--token", token) as address:
        page = chromium.new_context(viewport=NARROW).new_page()
        keep_job(page, address, ONE)
        page.goto(f"{address}/#seat")
        page.get_by_label("Token", exact=True).fill("wrong")
        page.get_by_role("button", name="Go on").click()
        page.get_by_text("is not right").wait_for()
        page.get_by_label("Token", exact=True).fill(token)
        page.get_by_role("button", name="Go on").click()
        shaped(page)
        page.get_by_role("heading", name="Contact map, Nan").wait_for()
        page.reload()
        shaped(page)
        page.context.close()


@pytest.mark.slow
def test_without_3d_the_services_picture_stands_there(chromium, address):
    page = chromium.new_context().new_page()
    keep_job(page, address, ONE)
    page.goto(f"{address}/#seat")
    page.get_by_text("This browser cannot draw in 3D").wait_for()
    shaped(page)
    page.wait_for_function(
        "() => document.querySelector('.view-picture').naturalWidth > 300", timeout=120_000
    )
    page.context.close()
