"""Boards on the page: said in fields, kept, sent as an order's own keys, refused beside their field, and drawn."""

import re

from .conftest import kept_job, shaped
from .jobs import ONE

TWO = {
    **ONE,
    "others": {"board": [{"species": "cherry", "rings": "flat", "bark": "up"}, {"species": "cherry"}]},
}


def unfold(card, number):
    """Open a board, of which one at a time is open."""
    summary = card.locator("details > summary", has_text=f"Board {number}")
    if summary.locator("xpath=..").get_attribute("open") is None:
        summary.click()


def test_boards_are_said_and_sent_with_the_keys_of_an_order(opened, modules):
    page = opened(ONE, "wood")
    page.get_by_role("button", name="Say what the boards are").click()
    page.get_by_role("button", name="Add a board").click()
    card = page.locator("section", has=page.locator("#wood-boards"))
    card.locator("select").nth(1).select_option("walnut")
    card.get_by_label("down").nth(1).check()
    unfold(card, 1)
    card.get_by_label("quarter-sawn").nth(0).check()
    card.get_by_label("Width", exact=True).nth(0).fill("200")
    card.get_by_label("Width", exact=True).nth(0).blur()
    shaped(page)
    job = kept_job(page)
    order = modules("order/order-of-job.js", "return one.orderOf(given);", job)
    first, second = order["board"]
    assert first == {"rings": "quarter", "bark": "up", "species": "white oak", "width_mm": 200}
    assert second == {"rings": "flat", "bark": "down", "species": "walnut"}


def test_a_board_that_was_removed_is_put_back_in_its_own_place(opened):
    woods = ["walnut", "cherry", "ash"]
    page = opened({**ONE, "others": {"board": [{"species": one} for one in woods]}}, "wood")
    card = page.locator("section", has=page.locator("#wood-boards"))
    for number in (1, 2, 3):
        unfold(card, number)
        card.get_by_role("button", name=f"Remove board {number}").click()
        assert len(kept_job(page)["others"]["board"]) == 2
        page.get_by_role("button", name="Put it back", exact=True).click()
        assert [one["species"] for one in kept_job(page)["others"]["board"]] == woods
        assert [card.locator("select").nth(k).input_value() for k in range(3)] == woods


def test_boards_that_do_not_add_up_are_refused_beside_their_field(opened):
    page = opened(TWO, "wood")
    card = page.locator("section", has=page.locator("#wood-boards"))
    for place, width in enumerate(("200", "100")):
        unfold(card, place + 1)
        card.get_by_label("Width", exact=True).nth(place).fill(width)
        card.get_by_label("Width", exact=True).nth(place).blur()
    page.wait_for_selector("body[data-seat=refused]")
    assert "they add up to" in card.locator(".field").nth(1).inner_text() + card.inner_text()


def test_figure_movement_and_floor_are_shown(opened):
    page = opened(TWO, "wood")
    shaped(page)
    page.get_by_role("button", name="Show figure, movement and floor").click()
    card = page.locator("section", has=page.locator("#wood-boards"))
    card.locator("img").wait_for(timeout=120_000)
    words = card.inner_text()
    assert "Its width moves: winter narrower by" in words
    assert "times stronger than its load" in words
    assert "not a proof" in words
    assert re.search(r"The seat weighs about \d\.\d kg\.", words)


def test_a_maker_who_works_in_inches_reads_pounds_and_inches_of_the_boards(opened):
    page = opened({**TWO, "units": "in"}, "wood")
    shaped(page)
    page.get_by_role("button", name="Show figure, movement and floor").click()
    card = page.locator("section", has=page.locator("#wood-boards"))
    card.locator("img").wait_for(timeout=120_000)
    words = card.inner_text()
    assert re.search(r"The seat weighs about \d+(\.\d)? lb\.", words)
    assert re.findall(r"\d mm", words.split("The seat weighs")[1]) == []


def test_an_order_with_boards_is_taken_over_with_its_piths(modules):
    order = {"sitter": [{"body": {"stature_mm": 1640, "mass_kg": 61}}],
             "board": [{"width_mm": "9 in", "pith_mm": [20, 90]}, {"bark": "down"}]}  # fmt: skip
    made = modules(
        "order/order-of-job.js",
        "one.fromOrder(given, {}, {}); const { job } = await import('/page/job/job.js'); return one.orderOf(job);",
        order,
    )
    first, second = made["board"]
    assert first["pith_mm"] == [20, 90]
    assert abs(first["width_mm"] - 228.6) < 1e-6
    assert second == {"bark": "down"}
