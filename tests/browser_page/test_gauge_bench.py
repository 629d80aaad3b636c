"""One crossing at a time at the bench: by keys, swipes and speech, large; slips questioned; read again after a cut."""

import csv
import io
import re
from itertools import pairwise

import pytest

from seatmesh.gauge.readings.readings_file import parse_readings

from .conftest import NARROW, WIDE, kept_job, shaped
from .jobs import ONE, in_units
from .test_keeping import saved
from .test_reach import axe_faults

FLAT = {"width": 844, "height": 390}
GAUGE = {"spacing_mm": 100, "bar_height_mm": 60, "rod_offset_mm": 0, "tolerance_mm": 0.5, "readings": {}}
JOB = {**ONE, "gauge": GAUGE}


def at_the_gauge(page):
    page.locator(".large .keys").wait_for()
    shaped(page)


def crossing(page):
    return int(re.match(r"Crossing (\d+)", page.locator("#crossing").inner_text())[1])


def count(page):
    return int(re.search(r"of (\d+) read", page.locator("#crossing").inner_text())[1])


def place(page):
    """Return x and y in mm as the page says them."""
    across, ahead = page.locator(".where span").all_inner_texts()
    side = re.match(r"(left|right) (\d+) mm", across.strip())
    x = 0 if side is None else int(side[2]) * (-1 if side[1] == "left" else 1)
    return x, int(re.match(r"(\d+) mm", ahead)[1])


def expected(page):
    return float(page.locator(".expected dd").first.inner_text().split(" ")[0])


def shown(page):
    return page.locator(".shown").inner_text().split("\n")[0]


def letters(page, part):
    """Return how large the letters of a part are, in CSS pixels."""
    return float(page.locator(part).evaluate("(one) => parseFloat(getComputedStyle(one).fontSize)"))


def swipe(page, across, down=0.0, start=None):
    """Move a finger over the glass, by events that the browser itself makes of touches."""
    size = page.viewport_size
    x, y = start or (size["width"] / 2, size["height"] / 3)
    finger = page.context.new_cdp_session(page)
    at = lambda share: [{"x": x + share * across, "y": y + share * down}]  # noqa: E731
    finger.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": at(0.0)})
    for share in (0.25, 0.5, 0.75, 1.0):
        finger.send("Input.dispatchTouchEvent", {"type": "touchMove", "touchPoints": at(share)})
    finger.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    finger.detach()


def test_the_whole_gauge_is_read_by_keyboard_alone(opened):
    """Rows on uncut wood come first; then row by row, to and fro, until every crossing is read."""
    page = opened(JOB, "bench/read", NARROW)
    at_the_gauge(page)
    number, walked, is_uncut = count(page), [], []
    for _ in range(number):
        walked.append(place(page))
        is_uncut.append("Such rows come first" in page.locator("main").inner_text())
        page.keyboard.type(
            f"{expected(page) - (1.0 if page.locator('.why-uncut').count() == 0 else 0.0):.1f}"
        )
        page.keyboard.press("Enter")
    assert page.get_by_text(f"{number} of {number} read").count() == 1
    assert len(set(walked)) == number
    datum_rows = is_uncut.index(False)
    assert datum_rows > 0
    assert not any(is_uncut[datum_rows:])
    # In a row the rod goes one way, in the next the other.
    rows = {}
    for x, y in walked[datum_rows:]:
        rows.setdefault(y, []).append(x)
    assert list(rows) == sorted(rows)
    ways = [xs == sorted(xs) for xs in rows.values() if len(xs) > 1]
    assert all(one != other for one, other in pairwise(ways))
    page.keyboard.press("ArrowLeft")
    assert place(page) == walked[-1]
    page.get_by_role("link", name="Leave").press("Enter")
    page.get_by_role("button", name="Where to cut next").press("Enter")
    page.locator("#cut-next").wait_for()
    assert page.locator(".cuts li").count() >= 1


def test_a_key_that_is_held_goes_back_and_leaves_the_reading(opened):
    page = opened(JOB, "bench/read", NARROW)
    at_the_gauge(page)
    first = crossing(page)
    page.keyboard.type("60.2")
    page.keyboard.press("Enter")
    page.keyboard.type("60.3")
    page.keyboard.press("Backspace")
    assert shown(page) == "60."
    page.keyboard.type("4")
    # A browser repeats a key that is held.
    for _ in range(9):
        page.keyboard.down("Backspace")
        page.wait_for_timeout(120)
    page.keyboard.up("Backspace")
    assert crossing(page) == first
    assert shown(page) == "60.2"
    page.keyboard.press("Enter")
    assert shown(page) == "60.4"
    box = page.get_by_role("button", name="delete").bounding_box()
    page.mouse.move(box["x"] + 20, box["y"] + 20)
    page.mouse.down()
    page.wait_for_timeout(900)
    page.mouse.up()
    assert crossing(page) == first
    page.keyboard.press("Enter")
    assert shown(page) == "60.4"


@pytest.mark.parametrize("size", [NARROW, FLAT])
def test_a_finger_swipes_on_and_back_and_taps_large_keys(opened, chromium, size):
    context = chromium.new_context(has_touch=True, viewport=size)
    page = opened(JOB, "bench/read", size, within=context)
    at_the_gauge(page)
    for key in page.locator(".large button:visible, .large a:visible").all():
        box = key.bounding_box()
        assert min(box["height"], box["width"]) >= 44, key.inner_text()
    first = crossing(page)
    for key in ("6", "0"):
        page.locator(".keys").get_by_role("button", name=key, exact=True).tap()
    swipe(page, -150)
    second = crossing(page)
    assert second != first
    assert shown(page) == "–"
    # From a key as well, and no key is typed by it.
    box = page.get_by_role("button", name="Next", exact=True).bounding_box()
    swipe(page, 120, start=(box["x"] + 10, box["y"] + 20))
    assert (crossing(page), shown(page)) == (first, "60")
    # Up and down is no swipe, nor is a short one.
    swipe(page, 40)
    swipe(page, 70, 200)
    assert crossing(page) == first
    page.locator(".keys").get_by_role("button", name="Next", exact=True).tap()
    assert crossing(page) == second
    context.close()


@pytest.mark.parametrize("size", [NARROW, FLAT, WIDE])
@pytest.mark.parametrize("units", ["mm", "in"])
def test_all_of_a_crossing_is_on_the_glass_in_large_type(opened, size, units):
    page = opened(in_units(JOB, units), "bench/read", size)
    at_the_gauge(page)
    page.keyboard.type("60" if units == "mm" else "2 3/8")
    assert shown(page) == ("60" if units == "mm" else "2 3/8")
    room = page.locator(".large")
    for part in (".where", ".shown", ".expected", ".keys", ".map-button"):
        box = room.locator(part).bounding_box()
        assert box["y"] >= 0, part
        assert box["y"] + box["height"] <= size["height"] + 1, part
        assert box["x"] + box["width"] <= size["width"] + 1, part
    assert letters(page, ".shown") >= 48
    assert letters(page, ".where") >= 20
    assert letters(page, ".keys button >> nth=0") >= 24
    assert page.evaluate("document.documentElement.scrollWidth") <= size["width"]
    assert axe_faults(page) == []
    page.get_by_role("button", name="Map of").click()
    page.get_by_role("heading", name="Choose a crossing").wait_for()
    assert axe_faults(page) == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_with_a_question_and_a_second_reading(opened, scheme):
    page = opened(JOB, "bench/read", NARROW)
    page.emulate_media(color_scheme=scheme)
    at_the_gauge(page)
    page.keyboard.type("60")
    page.keyboard.press("r")
    page.keyboard.type("600")
    page.locator(".question").wait_for()
    assert axe_faults(page) == []


def test_the_map_fills_in_and_a_crossing_is_chosen_on_it(opened):
    page = opened(JOB, "bench/read", NARROW)
    at_the_gauge(page)
    page.keyboard.type("60")
    page.keyboard.press("Enter")
    page.get_by_role("button", name="Map of").click()
    assert page.locator(".map-dialog .sign.uncut").count() == 2  # on the map and in its key
    hollow = page.locator(".map-dialog select option", has_text="on the centre line, 200 mm").first
    page.locator(".map-dialog select").select_option(label=hollow.inner_text())
    assert place(page) == (0, 200)
    done = expected(page)
    for off, sign in ((-3.0, "take"), (0.0, "done"), (3.0, "deep")):
        for _ in range(6):
            page.keyboard.press("Backspace")
        page.keyboard.type(f"{done + off:.1f}")
        page.get_by_role("button", name="Map of").click()
        assert page.locator(f".map-dialog .crossings .sign.{sign}").count() == 1
        page.get_by_role("button", name="Close").click()
    page.get_by_role("button", name="Map of").click()
    box = page.locator(".map-dialog .wood-face").bounding_box()
    page.mouse.click(box["x"] + box["width"] / 2, box["y"] + 0.74 * box["height"])
    assert place(page)[0] == 0
    assert place(page)[1] in (100, 110)


def test_what_to_read_next_has_a_line_for_each_reason_and_is_gone_through_by_a_press(opened):
    page = opened({**JOB, "gauge": {**GAUGE, "spacing_mm": 40}}, "bench/read", NARROW)
    at_the_gauge(page)
    for _ in range(31):
        is_uncut = "It should show" in page.locator(".expected").inner_text()
        page.keyboard.type(f"{expected(page) if is_uncut else expected(page) - 2.0:.1f}")
        page.keyboard.press("Enter")
    page.get_by_role("link", name="Leave").click()
    page.get_by_role("button", name="Where to cut next").click()
    page.locator("#cut-next").wait_for()
    lines = page.locator("#cut-next ~ ul li").filter(has=page.get_by_role("button")).all_inner_texts()
    assert 1 <= len(lines) <= 6
    assert len({one.partition("Go ")[0] for one in lines}) == len(lines), "no reason is told twice"
    page.get_by_role("button", name="Go through crossings").first.click()
    page.get_by_text("To read next").wait_for()


def test_a_number_that_may_go_on_is_questioned_when_it_is_left(opened):
    page = opened(JOB, "bench/read", NARROW)
    at_the_gauge(page)
    here, right = crossing(page), f"{expected(page):.1f}"
    seven = page.locator(".keys").get_by_role("button", name="7", exact=True)
    before = seven.bounding_box()
    page.keyboard.type(right[0])
    assert page.locator(".question").count() == 0
    assert seven.bounding_box() == before, "keys stay under the thumb"
    page.keyboard.press("Enter")
    page.locator(".question").wait_for()
    assert crossing(page) == here
    page.keyboard.type(right[1:])
    assert page.locator(".question").count() == 0
    for _ in range(len(right) - 1):
        page.keyboard.press("Backspace")
    page.keyboard.press("Enter")
    page.keyboard.press("Enter")
    assert crossing(page) != here, "asked once, it blocks nothing"


def test_a_bad_number_is_questioned_beside_it_and_the_others_count(opened):
    page = opened(JOB, "bench/read", NARROW)
    at_the_gauge(page)
    number, bad = count(page), None
    for step in range(number):
        right = expected(page)
        is_bad = place(page) == (0, 200)
        bad = crossing(page) if is_bad else bad
        page.keyboard.type(f"{right / 10:.2f}" if is_bad else f"{right:.1f}")
        assert page.locator(".question").count() == (1 if is_bad else 0), step
        if is_bad:
            assert "rather than" in page.locator(".question > p").inner_text()
        page.keyboard.press("Enter")
    sent = []
    page.on("request", lambda one: sent.append(one.post_data_json) if "gauge-checks" in one.url else None)
    page.get_by_role("link", name="Leave").click()
    page.get_by_role("button", name="Where to cut next").click()
    page.locator("#cut-next").wait_for()
    assert len(sent[0]["readings"]) == number - 1
    assert bad not in [one["point"] for one in sent[0]["readings"]]
    assert page.get_by_text("Not counted").count() == 1
    # Change takes the number that it is likely to be, Keep lets it stand; either ends the question.
    page.get_by_role("button", name=f"Go to crossing {bad}").first.click()
    page.get_by_role("button", name="Change to").click()
    assert page.locator(".question").count() == 0
    assert float(shown(page)) == pytest.approx(expected(page), abs=0.06)
    page.get_by_role("button", name="Where to cut next").click()
    page.wait_for_function("() => !document.querySelector('main').innerText.includes('Not counted')")
    assert len(sent[1]["readings"]) == number


def test_a_number_that_is_kept_though_no_wood_can_have_it_keeps_no_other_from_counting(opened):
    page = opened(JOB, "bench/read", NARROW)
    at_the_gauge(page)
    for _ in range(count(page)):
        page.keyboard.type("400" if place(page) == (0, 200) else f"{expected(page):.1f}")
        if place(page) == (0, 200):
            page.get_by_role("button", name="Keep 400").click()
            assert page.locator(".question").count() == 0
        page.keyboard.press("Enter")
    assert kept_job(page)["gauge"]["readings"]["0.0 200.0"] == {"text": "400", "units": "mm", "sure": True}
    page.get_by_role("link", name="Leave").click()
    page.get_by_role("button", name="Where to cut next").click()
    page.get_by_text("Not counted").wait_for()
    assert "reads 400 mm; on this blank" in page.locator("main").inner_text()
    assert page.get_by_role("heading", name="Where to cut next").count() == 1


@pytest.mark.parametrize(
    ("units", "typed", "asks"),
    [
        ("mm", "7.4", "74 mm rather than 7.4 mm?"),
        ("mm", "740", "74 mm rather than 740 mm?"),
        ("mm", "-74", None),
        ("mm", "2.9", '2.9" rather than 2.9 mm?'),
        ("mm", "400", "400 mm: the rod would go through the blank."),
        ("mm", "66", None),
        ("mm", "74.3", None),
        ("in", "74", '74 mm rather than 74"?'),
        ("in", "2 7/8", None),
        ("in", "29", '2.9" rather than 29"?'),
    ],
)
def test_slips_are_told_from_numbers_that_can_be_meant(modules, units, typed, asks):
    crossing = {"point": 1, "x_mm": 0, "y_mm": 200, "expected_mm": 74, "datum_mm": 60}
    script = """
        const about = { thickness_mm: 45, units: given.reading.units };
        const doubt = one.doubtAbout(given.crossing, given.reading, [given.crossing], about);
        return doubt?.words ?? null;
    """
    told = modules(
        "gauge/doubt.js", script, {"crossing": crossing, "reading": {"text": typed, "units": units}}
    )
    if typed == "-74":
        assert told == "74 mm rather than -74 mm?"
    else:
        assert told == asks


def test_a_tenth_is_questioned_where_the_bar_stands_on_the_wood(modules):
    """1.4 where 14 is expected could be wood that nobody has cut yet: it is asked about, and neighbours answer."""
    crossing = {"point": 1, "x_mm": 0, "y_mm": 200, "expected_mm": 14, "datum_mm": 0}
    script = """
        return one.doubtAbout(given, { text: '1.4', units: 'mm' }, [given], { thickness_mm: 45, units: 'mm' })?.words;
    """
    assert modules("gauge/doubt.js", script, crossing) == "14 mm rather than 1.4 mm?"


def test_a_reading_is_made_again_and_both_are_kept(opened, tmp_path):
    page = opened(JOB, "bench/read", NARROW)
    at_the_gauge(page)
    again = page.get_by_role("button", name="Read again")
    assert again.is_disabled()
    page.keyboard.type("60.2")
    last = max(int(one) for one in placings(page))
    again.click()
    page.get_by_text("Lift the bar, set it down again").wait_for()
    # It is marked to be read again until it is.
    page.keyboard.press("Enter")
    assert sum(one.get("reread", False) for one in kept_job(page)["gauge"]["readings"].values()) == 1
    page.keyboard.press("ArrowLeft")
    page.get_by_text("Lift the bar, set it down again").wait_for()
    page.keyboard.type("60.5")
    assert page.get_by_role("group", name="Readings of this crossing").inner_text().split("\n") == [
        "1st 60.2",
        "2nd 60.5",
    ]
    page.keyboard.press("Enter")
    # What else is read in this row is read from the bar as it now sits.
    page.keyboard.type("60.4")
    page.get_by_role("link", name="Leave").click()
    name, text = saved(page, "Save the readings")
    rows = sorted(parse_readings(text), key=lambda row: row.reading_mm)
    assert [(row.reading_mm, row.placing) for row in rows] == [
        (60.2, None),
        (60.4, last + 1),
        (60.5, last + 1),
    ]
    assert rows[0].point == rows[2].point
    path = tmp_path / name
    path.write_text(text)
    page.get_by_role("button", name="Clear all readings").click()
    page.get_by_label("Open readings").set_input_files(path)
    page.get_by_text("2 of").wait_for()
    assert parse_readings(saved(page, "Save the readings")[1]) == parse_readings(text)


def placings(page):
    """Return the settings of the sheet at hand."""
    entries = "performance.getEntriesByType('resource').map((one) => one.name)"
    seat = page.evaluate(f"() => {entries}.find((one) => one.includes('gauge-sheet'))")
    return [row["placing"] for row in csv.DictReader(io.StringIO(page.request.get(seat).text()))]


@pytest.mark.parametrize("units", ["mm", "in"])
def test_readings_go_round_through_the_file_unchanged(opened, tmp_path, units):
    page = opened(in_units(JOB, units), "bench/read", NARROW)
    at_the_gauge(page)
    for _ in range(12):
        page.keyboard.type("60.4" if units == "mm" else "2 3/8")
        page.keyboard.press("Enter")
    page.get_by_role("link", name="Leave").click()
    before = kept_job(page)["gauge"]["readings"]
    name, text = saved(page, "Save the readings")
    rows = parse_readings(text)
    assert [row.reading_mm for row in rows if row.reading_mm is not None] == [
        60.4 if units == "mm" else 60.325
    ] * 12
    path = tmp_path / name
    path.write_text(text)
    page.get_by_role("button", name="Clear all readings").click()
    page.get_by_label("Open readings").set_input_files(path)
    page.get_by_text("12 of").wait_for()
    again = kept_job(page)["gauge"]["readings"]
    assert {key: (one["text"], one["units"]) for key, one in again.items()} == {
        key: (one["text"], one["units"]) for key, one in before.items()
    }
    assert parse_readings(saved(page, "Save the readings")[1]) == rows


def test_from_a_cut_a_button_goes_to_its_crossings(opened):
    page = opened({**JOB, "gauge": {**GAUGE, "spacing_mm": 50}}, "bench/read", NARROW)
    at_the_gauge(page)
    for _ in range(count(page)):
        is_uncut = page.locator(".why-uncut").count() == 1
        page.keyboard.type(f"{expected(page) - (0.0 if is_uncut else 1.5):.1f}")
        page.keyboard.press("Enter")
    page.get_by_role("link", name="Leave").click()
    page.get_by_role("button", name="Where to cut next").click()
    page.locator(".cuts li").first.wait_for()
    words = page.locator(".cuts li").first.inner_text()
    page.get_by_role("button", name="Cut: read its crossings again").first.click()
    at_the_gauge(page)
    page.get_by_text("Cut 1, read again once it is made").wait_for()
    before = kept_job(page)["gauge"]["readings"]
    number = int(re.search(r"of (\d+)", page.locator(".list-at-hand").inner_text())[1])
    assert 3 <= number < count(page)
    told = [int(one) for one in re.findall(r"(\d+) mm", words)[:2]]
    carved, uncut = [], []
    for _ in range(number):
        if page.locator(".why-uncut").count():
            uncut.append(place(page))
            page.get_by_text("Lift the bar, set it down again").wait_for()
            page.keyboard.type(f"{expected(page):.1f}")
        else:
            carved.append(place(page))
            page.get_by_text("Before the cut it showed").wait_for()
            assert shown(page) == "–"
            page.keyboard.type(f"{expected(page):.1f}")
        page.keyboard.press("Enter")
    rows = {y for _, y in carved}
    assert rows == {y for _, y in uncut}
    assert min(abs(abs(x) - told[0]) + abs(y - told[1]) for x, y in carved) < 60
    after = kept_job(page)["gauge"]["readings"]
    changed = {key for key in after if after[key] != before[key]}
    assert len(changed) == number
    for key in changed:
        one = after[key]
        # The wood of the cut is read anew; uncut wood has a further reading, for how the bar sits now.
        settings = [one["extra"]["placing"]] if "again" not in one else [one["again"][-1]["extra"]["placing"]]
        assert all(int(value) > 0 for value in settings)
    page.get_by_role("button", name="All crossings").click()
    assert page.locator(".list-at-hand").count() == 0
    page.get_by_role("link", name="Leave").click()
    page.get_by_text("Readings were changed since").wait_for()
    page.get_by_role("button", name="Where to cut next").click()
    page.wait_for_function(
        "() => !document.querySelector('main').innerText.includes('Readings were changed since')"
    )


FAKE = """
    window.said = [];
    class Fake {
      start() { window.listening = this; window.said.push(this.lang); }
      stop() { window.listening = null; this.onend?.(); }
    }
    window.SpeechRecognition = Fake;
    window.webkitSpeechRecognition = Fake;
    window.say = (words) => window.listening.onresult({
      resultIndex: 0, results: [Object.assign([{ transcript: words }], { isFinal: true })],
    });
"""


def test_numbers_are_spoken_where_the_browser_listens(opened, chromium):
    context = chromium.new_context()
    context.add_init_script(FAKE)
    page = opened(JOB, "bench/read", NARROW, within=context)
    at_the_gauge(page)
    first = crossing(page)
    page.get_by_role("button", name="Speak the numbers").click()
    # Who hears it is said before anything is heard.
    page.get_by_text("Its maker may do that on machines of its own").wait_for()
    assert page.evaluate("window.said") == []
    page.get_by_role("button", name="Not now").click()
    page.get_by_role("button", name="Speak the numbers").click()
    assert axe_faults(page) == []
    page.get_by_role("button", name="Start listening").click()
    assert page.evaluate("window.said") == ["en"]
    page.evaluate("say('sixty point two next')")
    assert crossing(page) != first
    page.evaluate("say('back')")
    assert (crossing(page), shown(page)) == (first, "60.2")
    page.evaluate("say('sixty something')")
    page.get_by_text("which is no number for the rod").wait_for()
    assert shown(page) == "60.2"
    page.evaluate("say('six hundred')")
    page.locator(".told .question").wait_for()
    page.get_by_role("button", name="Stop listening").click()
    assert page.evaluate("window.listening") is None
    page.get_by_role("button", name="Speak the numbers").wait_for()
    context.close()


def test_a_browser_that_may_not_listen_says_so(opened, chromium):
    context = chromium.new_context()
    context.add_init_script(FAKE)
    page = opened(JOB, "bench/read", NARROW, within=context)
    at_the_gauge(page)
    page.get_by_role("button", name="Speak the numbers").click()
    page.get_by_role("button", name="Start listening").click()
    page.evaluate("listening.onerror({ error: 'not-allowed' })")
    page.get_by_text("may not use the microphone").wait_for()
    page.keyboard.type("60")
    assert shown(page) == "60"
    context.close()


def test_where_none_listens_there_is_no_button(opened, chromium):
    context = chromium.new_context()
    context.add_init_script(
        "delete window.SpeechRecognition; delete window.webkitSpeechRecognition;"
        "window.SpeechRecognition = window.webkitSpeechRecognition = undefined;"
    )
    page = opened(JOB, "bench/read", NARROW, within=context)
    at_the_gauge(page)
    assert page.get_by_role("button", name="Speak the numbers").count() == 0
    context.close()
