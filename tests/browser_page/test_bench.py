"""At the bench: marks, the client's remarks with undo, and the gauge on large keys; nothing is lost on a reload."""

import pytest

from seatmesh.units import format_length, parse_length_mm

from .conftest import NARROW, kept_job, shaped
from .jobs import BENCH, ONE, in_units
from .test_keeping import to_the_hollow


def test_marks_correct_body_and_place(opened):
    page = opened(ONE, "bench/marks", NARROW)
    for side, x in (("left", "54"), ("right", "56")):
        # The form stands before the list, whose marks can be changed in fields of the same names.
        page.get_by_label(side, exact=True).first.check(force=True)
        page.get_by_label("From the centre line").first.fill(x)
        page.get_by_label("From the rear edge").first.fill("141")
        page.get_by_role("button", name="Add this mark").click()
    page.get_by_role("heading", name="What the marks say").wait_for()
    row = page.locator("tr", has_text="sit bone spacing")
    row.wait_for()
    assert [one["x_mm"] for one in kept_job(page)["marks"]] == [-54, 56]
    before, after = row.locator("td").all_inner_texts()
    assert abs(float(after.split(" mm")[0]) - 110) < abs(float(before.split(" mm")[0]) - 110)
    page.get_by_role("button", name="Remove mark 2").click()
    assert len(kept_job(page)["marks"]) == 1


def test_remarks_tell_their_effect_and_can_be_undone(opened):
    page = opened(ONE, "bench/remarks", NARROW)
    shaped(page)
    page.get_by_label("What the client said").fill("hard on both sides")
    page.get_by_label("How much", exact=True).fill("2")
    page.get_by_role("button", name="Add this remark").click()
    effect = page.get_by_text("Nan: peak")
    effect.wait_for()
    words = effect.inner_text()
    before, after = (float(part) for part in words.split("peak ")[1].split(" kPa")[0].split(" to "))
    assert after < before
    assert kept_job(page)["adjustments"][0]["why"] == "hard on both sides"
    page.reload()
    page.get_by_text("hard on both sides").wait_for()
    page.get_by_role("button", name="Undo the last").click()
    assert kept_job(page)["adjustments"] == []
    page.get_by_role("button", name="Put it back").click()
    assert len(kept_job(page)["adjustments"]) == 1
    page.get_by_label("Keep it, whatever is undone").check()
    assert page.get_by_role("button", name="Undo the last").is_disabled()


def test_a_press_on_the_map_chooses_the_place(opened):
    page = opened(ONE, "bench/remarks")
    shaped(page)
    place = page.locator("svg.pressed")
    # A quarter from the left edge of the blank, its middle from front to rear.
    outline = place.locator(".outline-line").bounding_box()
    page.mouse.click(outline["x"] + 0.25 * outline["width"], outline["y"] + 0.5 * outline["height"])
    assert float(page.get_by_label("From the centre line", exact=True).input_value()) == pytest.approx(
        120, abs=3
    )
    assert float(page.get_by_label("From the rear edge", exact=True).input_value()) == pytest.approx(
        215, abs=3
    )


def short_by(page, units, mm, words):
    """Key in what a rod shows where so much wood is still to take."""
    expected = page.locator(".expected dd").first.inner_text()
    keyed(page, format_length(parse_length_mm(expected) - mm, units).removesuffix(" mm").removesuffix('"'))
    assert page.locator(".told").inner_text().startswith(f"{words}: wood still to take, or a bar")


def keyed(page, text):
    for key in text:
        page.locator(".keys").get_by_role(
            "button", name={" ": "and, between", "/": "over", ".": "point"}.get(key, key), exact=key.isdigit()
        ).click()


@pytest.mark.parametrize(
    ("units", "bar", "words"),
    [
        pytest.param("mm", 60, "2.5 mm less than when it is done", marks=pytest.mark.slow),
        ("in", 2 * 25.4, '1/8" less than when it is done'),
    ],
)
def test_readings_are_keyed_with_one_hand_and_answered(opened, units, bar, words):
    gauge = {
        "spacing_mm": 40 if units == "mm" else 38.1,
        "bar_height_mm": bar,
        "rod_offset_mm": 0,
        "tolerance_mm": 0.5,
        "readings": {},
        "at": None,
    }
    page = opened(in_units({**ONE, "gauge": gauge}, units), "bench/gauge", NARROW)
    page.get_by_role("heading", name="Crossing ").wait_for()
    for key in page.locator(".keys button").all():
        box = key.bounding_box()
        assert box["height"] >= 44
        assert box["width"] >= 44
    to_the_hollow(page)
    for _ in range(6):
        short_by(page, units, 2.5 if units == "mm" else 25.4 / 8, words)
        page.get_by_role("button", name="Next", exact=True).click()
    page.reload()
    page.get_by_text("6 of").wait_for()
    sent = []
    page.on("request", lambda one: sent.append(one.post_data_json) if "gauge-checks" in one.url else None)
    page.get_by_role("button", name="Where to cut next").click()
    # Six readings in the hollow and none on uncut wood: nothing tells wood to take from a bar that sits low.
    page.get_by_text("6 questioned: read again").wait_for()
    assert all(row["placing"] >= 0 for row in sent[0]["readings"])
    said = page.locator("main").inner_text()
    assert "nothing tells how the bar sat" in said
    assert "Nothing is cut until the questioned readings are read again." in said
    assert page.locator(".cuts li").count() == 0
    page.get_by_role("button", name="Back", exact=True).click()
    assert page.locator(".told").inner_text().startswith(f"{words}: wood still to take, or a bar")


def test_cautions_stand_where_someone_acts(opened, address):
    page = opened(BENCH, "bench/gauge")
    page.get_by_text("Powered cutters injure").wait_for()
    page.goto(f"{address}/#take")
    for words in ("Powered cutters injure", "A seat must hold its sitter", "not medical advice"):
        page.get_by_text(words).wait_for()
