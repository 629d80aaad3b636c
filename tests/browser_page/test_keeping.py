"""What is typed is kept: with its unit, over a reload, in a file, from an older page; what cannot be is told."""

import json
import re
import subprocess
import sys
import tomllib

import pytest

from seatmesh.gauge.readings.readings_file import read_readings
from seatmesh.units import parse_length_mm

from .browser import keep_job
from .conftest import NARROW, kept_job, shaped
from .jobs import BENCH, FOUR, ONE

GAUGE = {
    "spacing_mm": 40,
    "bar_height_mm": 60,
    "rod_offset_mm": 0,
    "tolerance_mm": 0.5,
    "readings": {},
    "at": None,
}


def units(page, which):
    page.locator(f"input[name=units][value={which}]").check(force=True)


def key(page, text):
    page.locator(".keys").wait_for()
    for one in text:
        words = {" ": "and, between", "/": "over", ".": "point"}.get(one, one)
        page.locator(".keys").get_by_role("button", name=words, exact=one.isdigit()).click()


def to_the_hollow(page):
    """Go on from the rows on uncut wood, which come first, to where wood is taken."""
    page.locator(".keys").wait_for()
    for _ in range(60):
        if page.locator(".why-uncut").count() == 0:
            return
        page.get_by_role("button", name="Next", exact=True).click()


def numbers(value):
    """Return every number of a job that is a length, a mass or an angle, by where it stands."""
    if isinstance(value, dict):
        return {f"{key}.{inner}": one for key, part in value.items() for inner, one in numbers(part).items()}
    if isinstance(value, list):
        return {
            f"{place}.{inner}": one
            for place, part in enumerate(value)
            for inner, one in numbers(part).items()
        }
    return {"": value} if isinstance(value, (int, float, str)) else {}


def told(job):
    """Return what a maker told."""
    return {key: job[key] for key in ("sitters", "blank", "chair", "wishes", "marks", "adjustments", "gauge")}


@pytest.mark.slow
def test_switching_units_fifty_times_moves_no_value(opened, address):
    page = opened(BENCH, "wood")
    shaped(page)
    for label, text in (("Width", "471.3"), ("Floor", "21.07"), ("Corner radius", "")):
        if text:
            page.get_by_label(label, exact=True).fill(text)
    units(page, "in")
    page.get_by_label("Depth", exact=True).fill("16 3/16")
    page.get_by_label("Deck", exact=True).fill("2.03")
    page.goto(f"{address}/#bench/gauge")
    key(page, "2 3/8")
    before = told(kept_job(page))
    assert before["blank"] == {
        "width_mm": 471.3,
        "floor_mm": 21.07,
        "depth_mm": 411.1625,
        "deck_mm": pytest.approx(51.562, abs=1e-9),
    }
    for number in range(50):
        units(page, ("mm", "in")[number % 2])
        if number % 10 == 0:  # also with a walk through every field
            for step in ("sitters", "wood", "wishes", "bench/remarks", "bench/gauge"):
                page.goto(f"{address}/#{step}")
                page.get_by_role("heading", level=1).wait_for()
                for field in page.locator("main input:visible").all()[:12]:
                    field.focus()
    page.goto(f"{address}/#wood")
    page.get_by_label("Width", exact=True).press("Tab")
    assert told(kept_job(page)) == before
    # In the unit that it was typed in every field shows what was typed.
    for which, label, text in (
        ("mm", "Width", "471.3"),
        ("mm", "Floor", "21.07"),
        ("in", "Depth", "16 3/16"),
        ("in", "Deck", "2.03"),
    ):
        units(page, which)
        assert page.get_by_label(label, exact=True).first.input_value() == text


def test_a_reading_keeps_its_unit(opened):
    page = opened({**ONE, "gauge": GAUGE}, "bench/gauge", NARROW)
    to_the_hollow(page)
    key(page, "70")
    assert page.locator(".told").inner_text().endswith("too deep, misread, or a bar that sits high.")
    told_in_mm = page.locator(".told").inner_text()
    units(page, "in")
    assert page.locator(".shown").inner_text().split("\n") == ["70 mm", 'that is 2\u00a03/4"']
    told_in_inches = page.locator(".told").inner_text()
    assert parse_length_mm(re.match(r'[\d /]+"', told_in_inches)[0]) == pytest.approx(
        float(told_in_mm.split(" mm")[0]), abs=25.4 / 64 + 0.06
    )
    sent = []
    page.on(
        "request", lambda one: sent.append(one.post_data_json) if one.url.endswith("gauge-checks") else None
    )
    page.get_by_role("button", name="Where to cut next").click()
    page.locator("#cut-next").wait_for()
    assert [one["reading_mm"] for one in sent[0]["readings"]] == [70]
    # A reading keyed in inches takes its place, and with all keys deleted the first one is there again.
    page.get_by_role("button", name="delete").click()
    assert page.locator(".shown").inner_text().split("\n")[0] == "70 mm"
    key(page, "2 3/4")
    assert page.locator(".shown").inner_text() == "2 3/4"
    for _ in range(5):
        page.get_by_role("button", name="delete").click()
    assert page.locator(".shown").inner_text().split("\n")[0] == "70 mm"
    units(page, "mm")
    assert page.locator(".shown").inner_text() == "70"


def test_text_that_was_no_length_is_not_read_in_another_unit(opened, address):
    page = opened(ONE, "wood")
    page.get_by_label("Width", exact=True).fill("3/16")
    page.get_by_label("Width", exact=True).press("Tab")
    units(page, "in")
    words = page.locator('[data-key="blank.width_mm"] .refusal')
    assert "“3/16” was typed in mm" in words.inner_text()
    assert kept_job(page)["blank"]["width_mm"] == "3/16"
    page.get_by_label("Width", exact=True).fill("18 3/16")
    assert kept_job(page)["blank"]["width_mm"] == 461.9625


def saved(page, name):
    with page.expect_download() as one:
        page.get_by_role("button", name=name).click()
    return one.value.suggested_filename, one.value.path().read_text()


def test_readings_go_into_a_file_that_page_and_command_open_again(opened, address, tmp_path):
    page = opened({**ONE, "gauge": GAUGE}, "bench/gauge")
    to_the_hollow(page)
    typed = ["60.4", "61", "62.25"]
    for text in typed:
        key(page, text)
        page.get_by_role("button", name="Next", exact=True).click()
    units(page, "in")
    key(page, "2 3/8")
    name, text = saved(page, "Save the readings")
    assert name == "reading-chair-readings-mm.csv"
    assert text.startswith("point,x_mm,y_mm,expected_mm,reading_mm,datum_mm,")
    path = tmp_path / name
    path.write_text(text)
    assert sorted(row.reading_mm for row in read_readings(path)) == [60.325, 60.4, 61, 62.25]
    with page.expect_download() as order:
        page.goto(f"{address}/#take")
        shaped(page)
        page.get_by_role("button", name="Save the order file").click()
    (tmp_path / "order.toml").write_text(order.value.path().read_text())
    command = [
        sys.executable,
        "-m",
        "seatmesh",
        "gauge",
        "check",
        str(tmp_path / "order.toml"),
        str(path),
        "--json",
    ]
    ran = subprocess.run(command, capture_output=True, text=True, check=False)
    assert ran.returncode == 0, ran.stderr
    assert len(json.loads(ran.stdout)["points"]) == 4
    before = kept_job(page)["gauge"]["readings"]
    page.goto(f"{address}/#bench/gauge")
    page.get_by_role("button", name="Clear all readings").click()
    assert kept_job(page)["gauge"]["readings"] == {}
    page.get_by_label("Open readings").set_input_files(path)
    page.get_by_text("4 of").wait_for()
    assert kept_job(page)["gauge"]["readings"] == before
    # What was cleared comes back by itself, too.
    page.get_by_role("button", name="Clear all readings").click()
    page.get_by_role("button", name="Put the cleared readings back").click()
    assert kept_job(page)["gauge"]["readings"] == before


def test_readings_of_a_file_do_not_overwrite_those_that_stand_there(opened, tmp_path):
    page = opened(
        {**ONE, "gauge": {**GAUGE, "readings": {"0.0 120.0": {"text": "64", "units": "mm"}}}}, "bench/gauge"
    )
    path = tmp_path / "more.csv"
    path.write_text('x_mm;y_mm;reading_mm;note\n0;120;66;felt hard\n0;160;2 1/2";\n40;160;;\n')
    page.get_by_label("Open readings").set_input_files(path)
    page.get_by_text("At 1 crossing there is another reading here already").wait_for()
    page.get_by_role("button", name="Those here").click()
    page.get_by_text("2 of").wait_for()
    assert kept_job(page)["gauge"]["readings"] == {
        "0.0 120.0": {"text": "64", "units": "mm"},
        "0.0 160.0": {"text": "2 1/2", "units": "in"},
    }
    page.get_by_label("Open readings").set_input_files(path)
    page.get_by_role("button", name="The file’s").click()
    page.get_by_text("2 of").wait_for()
    assert kept_job(page)["gauge"]["readings"]["0.0 120.0"] == {
        "text": "66",
        "units": "mm",
        "extra": {"note": "felt hard"},
    }


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("point,x_mm,y_mm\n1,0,120\n", "does not name reading_mm"),
        ("", "does not name x_mm, y_mm, reading_mm"),
        ("x_mm,y_mm,reading_mm\n0,120,deep\n", "line 2: reading_mm “deep” is not a length"),
        ("x_mm,y_mm,reading_mm\n0,here,60\n", "line 2: y_mm “here” is not a length"),
        ("x_mm,y_mm,reading_mm\n0,120,\n", "it holds no readings"),
        ("x_mm,y_mm,reading_mm,datum_mm\n0,120,60,60\n0,160,60,61\n", "did not lie level"),
        (
            "x_mm,y_mm,reading_mm,datum_mm\n0,120,80,75\n",
            "another gauge: level with the wood its rod shows 75 mm, here 60 mm",
        ),
    ],
)
def test_a_file_without_sound_readings_is_refused_in_words(opened, tmp_path, text, words):
    job = {**ONE, "gauge": {**GAUGE, "readings": {"0.0 200.0": {"text": "64", "units": "mm"}}}}
    page = opened(job, "bench/gauge")
    path = tmp_path / "other.csv"
    path.write_text(text)
    page.get_by_label("Open readings").set_input_files(path)
    refusal = page.locator(".refusal", has_text="other.csv")
    refusal.wait_for()
    assert words in refusal.inner_text()
    kept = kept_job(page)  # once: the page may write while it is looked at twice
    without_at = {key: value for key, value in job["gauge"].items() if key != "at"}
    assert kept["gauge"] == without_at or kept == job


def test_a_file_of_another_gauge_sets_the_gauge_where_nothing_was_read(opened, tmp_path):
    page = opened({**ONE, "gauge": GAUGE}, "bench/gauge")
    path = tmp_path / "25.csv"
    rows = "\n".join(f"{x},{y},{75 + y / 100},75" for x in (-25, 0, 25) for y in (100, 125, 150))
    path.write_text(f"x_mm,y_mm,reading_mm,datum_mm\n{rows}\n")
    page.get_by_label("Open readings").set_input_files(path)
    page.get_by_text("9 of").wait_for()
    assert (kept_job(page)["gauge"]["bar_height_mm"], kept_job(page)["gauge"]["spacing_mm"]) == (75, 25)


def test_readings_between_the_crossings_are_kept_and_are_in_the_file(opened):
    readings = {"0.0 120.0": {"text": "64", "units": "mm"}, "12.5 137.5": {"text": "66", "units": "mm"}}
    page = opened({**ONE, "gauge": {**GAUGE, "readings": readings}}, "bench/gauge")
    page.get_by_text("1 reading lies between these crossings").wait_for()
    assert "12.5,137.5,,66,60" in saved(page, "Save the readings")[1]


def test_what_was_read_twice_is_confirmed_and_kept_in_file_and_check(opened, tmp_path):
    page = opened({**ONE, "gauge": GAUGE}, "sitters")
    shaped(page)

    def with_column(route):
        """Answer as a service does whose gauge sheets have the column."""
        head, *rows = route.fetch().text().strip().split("\n")
        head, rows = f"{head},confirmed".replace(",note,", ",placing,note,"), [f"{row},," for row in rows]
        route.fulfill(body="\n".join([head, *rows]), content_type="text/csv")

    sent = []
    page.route("**/gauge-sheet.csv*", with_column)
    page.route("**/gauge-checks", lambda route: (sent.append(route.request.post_data_json), route.abort()))
    page.get_by_role("link", name="Bench").click()
    page.get_by_role("link", name="Gauge", exact=True).click()
    tick = page.get_by_label("Read twice, the bar set down again: the same reading")
    to_the_hollow(page)
    assert tick.count() == 0
    key(page, "64.5")
    tick.check()
    path = tmp_path / "again.csv"
    path.write_text("point,x_mm,y_mm,reading_mm,placing,note\n1,0,280,61,3,\n1,0,280,61.4,4,felt twice\n")
    page.get_by_label("Open readings").set_input_files(path)
    page.get_by_text("2 of").wait_for()
    text = saved(page, "Save the readings")[1]
    head, *rows = [line.split(",") for line in text.strip().split("\n")]
    told = [dict(zip(head, row, strict=True)) for row in rows]
    assert [(one["reading_mm"], one["confirmed"], one["placing"], one["note"]) for one in told] == [
        ("64.5", "1", "", ""),
        ("61", "", "3", ""),
        ("61.4", "", "4", "felt twice"),
    ]
    page.get_by_role("button", name="Where to cut next").click()
    page.get_by_text("The service does not answer").wait_for()
    rows = sent[0]["readings"]
    assert [(one["reading_mm"], one.get("confirmed"), one.get("placing")) for one in rows] == [
        (64.5, "1", 0),
        (61, None, "3"),
        (61.4, None, "4"),
    ]
    assert rows[1]["point"] == rows[2]["point"]
    # Another reading in its place is not confirmed.
    key(page, "1")
    assert not tick.is_checked()


def test_half_typed_words_are_there_after_a_reload(opened, address):
    page = opened(ONE, "bench/remarks")
    shaped(page)
    page.get_by_label("What the client said").fill("hard on the le")
    page.get_by_label("How much", exact=True).fill("2.")
    page.reload()
    assert page.get_by_label("What the client said").input_value() == "hard on the le"
    assert page.get_by_label("How much", exact=True).input_value() == "2."
    page.goto(f"{address}/#bench/marks")
    page.get_by_label("right", exact=True).check(force=True)
    page.get_by_label("From the centre line").fill("5")
    page.reload()
    assert page.get_by_label("right", exact=True).is_checked()
    assert page.get_by_label("From the centre line").input_value() == "5"
    page.goto(f"{address}/#sitters")
    page.get_by_label("Name", exact=True).fill("Na")
    page.get_by_label("Stature", exact=True).fill("16")
    page.reload()
    assert page.get_by_label("Name", exact=True).input_value() == "Na"
    assert page.get_by_label("Stature", exact=True).input_value() == "16"


def test_half_typed_words_of_a_closed_tab_are_in_the_next_one(chromium, address):
    context = chromium.new_context()
    page = context.new_page()
    keep_job(page, address, ONE)
    page.goto(f"{address}/#bench/remarks")
    page.get_by_label("What the client said").fill("hard on the le")
    other = context.new_page()  # the first one is still there, so its words stay in it
    other.goto(f"{address}/#bench/remarks")
    other.wait_for_timeout(2500)
    assert other.get_by_label("What the client said").input_value() == ""
    other.get_by_label("What the client said").fill("cold")
    page.close()
    other.close()
    found = []
    for _ in range(2):
        page = context.new_page()
        page.goto(f"{address}/#bench/remarks")
        page.wait_for_timeout(2500)
        found.append(page.get_by_label("What the client said").input_value())
    assert sorted(found) == ["cold", "hard on the le"]
    context.close()


OLD = {
    **BENCH,
    "units": "in",
    "taken_back": [],
    "others": {
        "joint": [
            {
                "kind": "leg mortise",
                "x_mm": 165,
                "y_mm": 370,
                "diameter_mm": 25,
                "depth_mm": 28,
                "side": "both",
            }
        ]
    },
    "gauge": {**GAUGE, "readings": {"0.0 120.0": "2 1/2", "0.0 160.0": "2 3/4"}, "at": 7},
    "seat": "0" * 32,
}
"""As the page of the release before kept a job: no ids, no version, readings without a unit."""


def test_a_job_of_an_older_page_is_read_and_what_is_unsure_is_asked(opened, address):
    page = opened(OLD, "bench/gauge")
    page.get_by_text("2 readings were kept by an older page without unit, and are taken as inches").wait_for()
    page.get_by_role("button", name="They are in inches").click()
    job = kept_job(page)
    assert job["gauge"]["readings"] == {
        "0.0 120.0": {"text": "2 1/2", "units": "in"},
        "0.0 160.0": {"text": "2 3/4", "units": "in"},
    }
    for name in ("sitters", "marks", "adjustments"):
        assert [{**one, "id": None} for one in job[name]] == [{**one, "id": None} for one in OLD[name]]
    with page.expect_request("**/seats") as sent:
        page.reload()
    order = json.loads(sent.value.post_data)
    assert order["joint"] == OLD["others"]["joint"]
    assert order["mark"] == OLD["marks"]
    assert order["adjustment"] == OLD["adjustments"]


@pytest.mark.parametrize("text", ["{cut sho", '{"sitters": [null]}'])
def test_a_kept_job_that_cannot_be_read_is_put_aside_not_lost(opened, address, text):
    page = opened(None, "take")
    page.evaluate("(text) => localStorage.setItem('seatmesh job', text)", text)
    page.reload()
    page.get_by_text("The job that was kept here cannot be read").wait_for()
    page.get_by_text("A job that cannot be read.").wait_for()
    page.goto(f"{address}/#sitters")
    page.get_by_label("Name", exact=True).fill("Nan")
    page.goto(f"{address}/#take")
    assert saved(page, "Save its text") == ("unread-job.json", text)


def test_an_opened_order_keeps_the_job_it_replaces(opened, address, tmp_path):
    page = opened(BENCH, "take")
    shaped(page)
    before = kept_job(page)
    path = tmp_path / "stool.toml"
    path.write_text("title = 'Stool'\n[[sitter]]\nbody = { stature_mm = 1700, mass_kg = 70 }\n")
    page.get_by_label("Open an order file").set_input_files(path)
    page.wait_for_url("**/#sitters")
    assert kept_job(page)["title"] == "Stool"
    page.goto(f"{address}/#take")
    page.get_by_role("button", name="Bring it back").click()
    page.wait_for_url("**/#sitters")
    assert told(kept_job(page)) == told(before)
    page.goto(f"{address}/#take")
    page.get_by_role("button", name="Begin another job").click()
    page.get_by_role("button", name="Begin anew").click()
    page.wait_for_url("**/#sitters")
    page.goto(f"{address}/#take")
    assert page.locator(".entries strong").all_inner_texts() == ["Reading chair", "Stool"]


FULL = "Storage.prototype.setItem = () => { throw new DOMException('no room', 'QuotaExceededError'); };"
FORBIDDEN = """for (const name of ['localStorage', 'sessionStorage'])
    Object.defineProperty(window, name, { get() { throw new DOMException('denied', 'SecurityError'); } });"""


@pytest.mark.parametrize(
    ("fault", "words"), [(FULL, "store is full"), (FORBIDDEN, "keeps nothing for this page")]
)
def test_a_browser_that_keeps_nothing_is_told_of_and_the_page_works_all_the_same(
    chromium, address, tmp_path, fault, words
):
    context = chromium.new_context(accept_downloads=True)
    context.add_init_script(fault)
    page = context.new_page()
    errors = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.goto(f"{address}/#sitters")
    for label, text in (("Name", "Nan"), ("Stature", "1640"), ("Body mass", "61")):
        page.get_by_label(label, exact=True).fill(text)
    page.locator(".notice", has_text=words).wait_for()
    page.get_by_label("Body mass", exact=True).press("Tab")
    shaped(page)
    page.get_by_role("link", name="Take away", exact=True).click()
    with page.expect_download() as one:
        page.get_by_role("button", name="Save the order file").click()
    assert tomllib.loads(one.value.path().read_text())["sitter"][0]["body"]["mass_kg"] == 61
    path = tmp_path / "stool.toml"
    path.write_text("title = 'Stool'\n[[sitter]]\nbody = { stature_mm = 1700, mass_kg = 70 }\n")
    page.get_by_label("Open an order file").set_input_files(path)
    page.get_by_text("This browser has no room to keep the job you have open").wait_for()
    page.get_by_role("button", name="Stay").click()
    page.get_by_label("Open an order file").set_input_files(path)
    page.get_by_role("button", name="Open it all the same").click()
    page.wait_for_url("**/#sitters")
    assert page.get_by_label("What the seat is called").input_value() == "Stool"
    assert errors == []
    context.close()


def test_a_store_that_is_really_full_is_told_of_until_there_is_room(chromium, address):
    context = chromium.new_context()
    page = context.new_page()
    keep_job(page, address, ONE)
    page.goto(f"{address}/#sitters")
    page.get_by_label("Name", exact=True).fill("Nan")
    page.evaluate(
        """() => {
            for (let size = 1 << 22; size; size >>= 1)
                for (let number = 0; number < 4; number += 1)
                    try { localStorage.setItem(`fill ${size} ${number}`, "x".repeat(size)); } catch { break; }
        }"""
    )
    page.get_by_label("Name", exact=True).fill("Nan who sits")
    page.locator(".notice", has_text="store is full").wait_for()
    page.evaluate(
        """() => Object.keys(localStorage)
            .filter((one) => one.startsWith('fill'))
            .forEach((one) => localStorage.removeItem(one))"""
    )
    page.get_by_label("Name", exact=True).fill("Nan who sits there")
    page.locator(".notice").wait_for(state="detached")
    assert kept_job(page)["sitters"][0]["name"] == "Nan who sits there"
    context.close()


def test_two_jobs_replaced_in_one_moment_are_both_kept(opened, address):
    page = opened(ONE, "take")
    found = page.evaluate(
        """async () => {
            const one = await import('/page/job/earlier-jobs.js');
            for (let number = 0; number < 12; number += 1)
                one.keepEarlier({ job: { title: String(number), sitters: [] } });
            return one.earlierJobs().map(({ job }) => job.title);
        }"""
    )
    assert len(set(found)) == 8


def test_what_was_removed_by_a_press_can_be_put_back(opened, address):
    leg = {"kind": "leg mortise", "x_mm": 165, "y_mm": 370, "diameter_mm": 25, "depth_mm": 20, "side": "both"}
    before = {**BENCH, "sitters": FOUR["sitters"], "marks": BENCH["marks"][:1], "others": {"joint": [leg]}}
    page = opened(before, "sitters")
    page.get_by_role("heading", name="viola").click()
    page.get_by_role("button", name="Remove viola").click()
    back = page.get_by_role("button", name="Put it back", exact=True)
    back.click()
    assert kept_job(page)["sitters"] == [
        {**one, "id": f"0-{place:05}"} for place, one in enumerate(before["sitters"])
    ]
    page.goto(f"{address}/#bench/marks")
    page.get_by_role("button", name="Remove mark 1").click()
    assert kept_job(page)["marks"] == []
    back.click()
    page.goto(f"{address}/#wishes")
    page.get_by_role("button", name="All as usual").click()
    assert kept_job(page)["wishes"] == {}
    back.click()
    page.goto(f"{address}/#wood")
    page.locator("summary", has_text="Pair 1").click()
    page.get_by_role("button", name="Remove pair 1").click()
    assert "joint" not in kept_job(page)["others"]
    back.click()
    after = kept_job(page)
    assert {**leg, "id": "0-00000"} == after["others"]["joint"][0]
    assert after["wishes"] == before["wishes"]
    assert [one["x_mm"] for one in after["marks"]] == [-56]
