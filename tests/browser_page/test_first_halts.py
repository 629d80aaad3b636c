"""Where makers halted who had never seen the page: units that changed a mass, presses that went astray, riddles."""

import re

import pytest

from .conftest import WIDE, kept_job, shaped
from .jobs import FOUR, ONE, in_units


def mass(page):
    return page.get_by_label("Body mass", exact=True)


def choose(page, units):
    page.get_by_role("radio", name=units).check(force=True)


def test_inches_say_that_masses_are_in_pounds_too_and_kg_can_be_kept(opened):
    page = opened(ONE, "sitters")
    mass(page).fill("61.5")
    mass(page).press("Tab")
    choose(page, "inches")
    page.get_by_text("Body mass is shown in pounds now as well.").wait_for()
    assert float(mass(page).input_value()) == pytest.approx(61.5 / 0.45359237, abs=0.06)
    page.get_by_role("button", name="Keep kg").click()
    assert mass(page).input_value() == "61.5"
    assert page.get_by_label("Body mass in").input_value() == "kg"
    assert page.get_by_label("Stature", exact=True).input_value().startswith("64")
    # A number without a unit is in the unit that stands beside it.
    mass(page).fill("70")
    mass(page).press("Tab")
    assert kept_job(page)["sitters"][0]["measures"]["mass_kg"] == 70
    page.get_by_label("Body mass in").select_option("lb")
    assert float(mass(page).input_value()) == pytest.approx(70 / 0.45359237, abs=0.06)
    assert kept_job(page)["sitters"][0]["measures"]["mass_kg"] == 70
    choose(page, "mm")
    assert page.get_by_label("Body mass in").input_value() == "lb"


def test_a_mass_that_an_older_page_noted_means_what_it_meant(opened):
    sitter = {**ONE["sitters"][0], "id": "s"}
    sitter["measures"] = {**sitter["measures"], "mass_kg": 76.20351816}
    job = {
        **in_units(ONE, "in"),
        "sitters": [sitter],
        "typed": {"sitter.s.mass_kg": {"text": "168", "units": "in", "value": 76.20351816}},
    }
    page = opened(job, "sitters")
    assert mass(page).input_value() == "168"
    page.get_by_label("Body mass in").select_option("kg")
    assert mass(page).input_value() == "76.2"
    assert kept_job(page)["sitters"][0]["measures"]["mass_kg"] == 76.20351816


def test_a_press_hits_what_it_was_aimed_at_though_a_refusal_vanishes(opened):
    page = opened(ONE, "wood")
    shaped(page)
    width = page.get_by_label("Width", exact=True)
    width.fill("4 80")
    width.press("Tab")
    page.locator('[data-key="blank.width_mm"] .refusal').wait_for()
    page.wait_for_timeout(300)
    width.fill("480")
    button = page.get_by_role("button", name="Add a pair of legs")
    button.scroll_into_view_if_needed()
    box = button.bounding_box()
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + 4)
    page.mouse.down()
    page.wait_for_timeout(400)
    assert button.bounding_box()["y"] == pytest.approx(box["y"], abs=0.5)
    page.mouse.up()
    page.get_by_text("Pair 1:").wait_for()
    page.wait_for_function(
        "() => !document.querySelector('[data-key=\"blank.width_mm\"] .refusal:not([hidden])')"
    )


def test_a_floor_thicker_than_the_wood_is_marked_itself(opened):
    page = opened({**ONE, "blank": {"floor_mm": 60}}, "wood")
    page.wait_for_selector("body[data-seat=refused]")
    told = page.locator('[data-key="blank.floor_mm"] .refusal')
    told.wait_for()
    assert "at most thickness 45 mm less depth of the hollow 14 mm" in told.inner_text()
    assert page.locator('[data-key="blank.thickness_mm"] .refusal').is_hidden()
    told.get_by_role("button", name="Use 31 mm").click()
    shaped(page)


def test_a_size_that_cannot_be_read_is_not_drawn_as_another(opened):
    page = opened({**ONE, "blank": {"width_mm": 500}}, "wood")
    shaped(page)
    sketch = page.locator(".stays")
    assert "500 mm × 430 mm" in sketch.inner_text()
    page.get_by_label("Width", exact=True).fill("4 80")
    assert "Width cannot be read: drawn as it was before." in sketch.inner_text()
    assert "500 mm × 430 mm" in sketch.inner_text()
    assert sketch.locator(".unread").count() == 1
    page.reload()
    page.get_by_text("Width cannot be read: nothing is drawn until it can.").wait_for()
    assert page.locator(".stays svg").count() == 0


def test_bare_blank_says_that_no_pressure_lies_on_it(opened, chromium_3d):
    context = chromium_3d.new_context()
    page = opened(ONE, "seat", WIDE, within=context)
    shaped(page)
    slider = page.get_by_role("slider", name="Before and after")
    slider.fill("0")
    page.get_by_text("No pressure is shown on the bare blank.").wait_for()
    slider.fill("1")
    assert page.get_by_text("No pressure is shown").count() == 0
    context.close()


def test_a_new_board_is_of_the_last_ones_wood_and_only_it_is_open(opened):
    page = opened(ONE, "wood")
    card = page.locator("section", has=page.locator("#wood-boards"))
    page.get_by_role("button", name="Say what the boards are").click()
    card.locator("select").first.select_option("walnut")
    for _ in range(2):
        page.get_by_role("button", name="Add a board").click()
    assert [one["species"] for one in kept_job(page)["others"]["board"]] == ["walnut"] * 3
    assert card.locator("details[open] > summary").all_inner_texts() == ["Board 3: walnut, flat-sawn"]
    # Three boards meet in two lines, and the plan shows them.
    assert page.locator(".stays .glue-line").count() == 2
    x = [float(one.get_attribute("x1")) for one in page.locator(".stays .glue-line").all()]
    assert x == pytest.approx([-80, 80])


def test_a_mark_says_at_once_that_its_effect_is_being_worked_out(opened):
    page = opened(ONE, "bench/marks")
    shaped(page)
    page.route("**/seats", lambda route: _later(page, route))
    page.get_by_label("From the centre line").first.fill("54")
    page.get_by_label("From the rear edge").first.fill("141")
    page.get_by_role("button", name="Add this mark").click()
    page.get_by_text("Working out what this mark does").wait_for()
    page.locator("tr", has_text="sit bones, from the rear edge").wait_for()
    assert page.get_by_text("Working out what this mark does").count() == 0


def _later(page, route):
    page.wait_for_timeout(700)
    route.continue_()


def test_nothing_is_called_shaped_while_a_field_is_red(opened):
    page = opened(ONE, "wood")
    shaped(page)
    page.get_by_label("Width", exact=True).press_sequentially("x")
    page.locator("body[data-old]").wait_for()
    page.wait_for_timeout(200)
    assert "Seat shaped" not in page.locator("#status").inner_text()


def test_in_inches_no_area_is_in_square_centimetres(opened):
    page = opened(in_units(ONE, "in"), "seat")
    shaped(page)
    spots = page.locator(".spots li").first
    spots.wait_for()
    assert re.search(r"in a patch of [\d.]+ sq in", spots.inner_text())
    assert "cm²" not in page.locator("main").inner_text()


def test_what_sharing_costs_follows_from_the_peaks_beside_it(opened):
    page = opened(FOUR, "compare")
    shaped(page)
    rows = {
        row.locator("th").inner_text(): row.locator("td").all_inner_texts()
        for row in page.locator("tbody tr").all()
    }
    shared, own = rows["Peak on the seat, kPa"], rows["Peak on a seat of their own, kPa"]
    for cost, here, alone in zip(rows["What sharing costs"], shared, own, strict=True):
        percent = 100 * (float(here) / float(alone) - 1)
        assert float(cost.replace("−", "-").removesuffix("\u00a0%")) == pytest.approx(percent, abs=0.5 + 1e-6)


def test_a_job_that_begins_in_inches_is_offered_round_ones_and_keeps_them(opened):
    page = opened()
    choose(page, "inches")
    page.goto(page.url.split("#")[0] + "#wood")
    width = page.get_by_label("Width", exact=True)
    width.wait_for()
    sizes = [
        page.get_by_label(name, exact=True).input_value() for name in ("Width", "Depth", "Thickness", "Floor")
    ]
    assert sizes == ["19", "17", "1 3/4", "3/4"]
    choose(page, "mm")
    assert width.input_value() == "480"
    choose(page, "inches")
    page.goto(page.url.split("#")[0] + "#sitters")
    page.get_by_label("Stature", exact=True).fill("64 1/2")
    mass(page).fill("134")
    mass(page).press("Tab")
    shaped(page)
    choose(page, "mm")
    page.goto(page.url.split("#")[0] + "#wood")
    width.wait_for()
    # Now there is a seat, and it stays as it is.
    assert width.input_value() == "482.6"


def test_a_seat_that_exists_is_no_other_in_inches(opened, modules):
    page = opened(ONE, "wood")
    shaped(page)
    before = modules("order/order-of-job.js", "return one.orderOf(given);", kept_job(page))
    choose(page, "inches")
    after = modules("order/order-of-job.js", "return one.orderOf(given);", kept_job(page))
    assert {**after, "units": "mm"} == before
    assert page.get_by_label("Width", exact=True).input_value() == "18 29/32"


def test_a_reading_in_doubt_is_said_in_the_unit_it_was_typed_in(opened):
    page = opened(in_units(ONE, "in"), "sitters")
    mass(page).fill("82")
    mass(page).press("Tab")
    note = page.get_by_text("make a body mass index of")
    note.wait_for()
    assert "body mass 82 lb and stature 64" in note.inner_text()


def test_a_depth_that_presses_harder_is_not_called_the_same(modules):
    """A tenth is what can be felt, either way: as in the words of the report."""
    rows = [{"depth_mm": depth, "peak_kpa": peak} for depth, peak in ((0, 40), (10, 20), (14, 21), (18, 23))]
    told = modules(
        "seat/depth-curve.js",
        "return [...one.depthWords(given).querySelectorAll('tbody td:last-child')].map((cell) => cell.textContent);",
        {"name": "Nan", "peak_by_depth": rows},
    )
    assert [re.sub(r"(as|than) \S+$", r"\1 10 mm", one.removesuffix(" mm")) for one in told[2:]] == [
        "feels the same as 10 mm",
        "feels harder than 10 mm",
    ]
    assert told[:2] == ["the bare blank", "feels softer than the bare blank"]


def test_the_section_along_a_shallow_dish_tells_its_hollow_and_not_the_front_roll(opened):
    page = opened({**ONE, "wishes": {"depth_mm": 8, "front_roll_mm": 25, "pommel_mm": 0}}, "seat")
    shaped(page)
    for way in ("across", "along"):
        label = page.locator(f'svg[aria-label^="Section {way}"]').get_attribute("aria-label")
        assert 7.0 <= float(re.search(r"deepest ([\d.]+) mm", label).group(1)) <= 9.0, label


def test_every_figure_of_a_seat_is_seen_on_an_upright_telephone(opened):
    page = opened(ONE, "seat", {"width": 390, "height": 844})
    shaped(page)
    wider = page.locator(".sideways:has(> .seat-figures)").evaluate("(it) => it.scrollWidth - it.clientWidth")
    assert wider == 0


def test_the_example_goes_once_there_is_a_job_of_ones_own_and_nothing_moves(opened):
    page = opened(None, "sitters")
    page.get_by_role("button", name="Open the example job").wait_for()
    stature = page.get_by_label("Stature", exact=True)
    before = page.evaluate("(one) => one.getBoundingClientRect().y + scrollY", stature.element_handle())
    stature.fill("1640")
    stature.press("Tab")
    page.get_by_text("This is your own job now.").wait_for()
    assert page.get_by_role("button", name="Open the example job").count() == 0
    after = page.evaluate("(one) => one.getBoundingClientRect().y + scrollY", stature.element_handle())
    assert after == pytest.approx(before, abs=0.5)


def test_another_outline_is_sketched_at_once(opened):
    page = opened(ONE, "wood")
    shaped(page)
    face = page.locator(".stays .wood-face")
    page.wait_for_function("() => document.querySelector('.stays .wood-face').points.numberOfItems > 4")
    page.route("**/seats", lambda route: None)
    page.get_by_role("radio", name="straight-sided").check(force=True)
    page.wait_for_function("() => document.querySelector('.stays .wood-face').points.numberOfItems === 4")
    assert page.locator("body").get_attribute("data-seat") != "shaped"
    corners = {tuple(map(float, one.split(","))) for one in face.get_attribute("points").split()}
    assert len({x for x, _ in corners}) == len({y for _, y in corners}) == 2


def test_an_advice_says_what_it_wins_where_the_peak_is_elsewhere(modules):
    spot = {
        "x_mm": 60, "y_mm": 380, "cause": "thigh on front edge", "peak_kpa": 6.5, "area_cm2": 12,
        "advice": "deepen 2 mm",
        "advice_peaks": [
            {"body": "Anna", "before_kpa": 10.81, "after_kpa": 10.79, "here_before_kpa": 6.5, "here_after_kpa": 5.6},
            {"body": "Ben", "before_kpa": 10.8, "after_kpa": 9.0, "here_before_kpa": 10.8, "here_after_kpa": 9.0},
        ],
    }  # fmt: skip
    script = "return one.spotWords(one.numberedSpots([given]), { body: 'Anna' }).textContent;"
    told = modules("seat/hot-spots.js", script, spot)
    assert "Anna: inside the circle 6.5 to 5.6 kPa; the peak of 10.8 is elsewhere and stays" in told
    assert "Ben: peak 10.8 to 9.0 kPa; inside the circle 10.8 to 9.0" in told


def test_a_percent_sign_stays_with_its_number(modules):
    script = "return one.h('p', {}, given).textContent;"
    assert modules("parts/element.js", script, "20 % less, 5 %.") == "20\u00a0% less, 5\u00a0%."
