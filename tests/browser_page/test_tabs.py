"""Two tabs of one browser on one job: nothing that is typed in either is lost, and what is taken away stays away."""

import json
import random

import pytest

from .browser import PATIENCE_MS, own_module
from .conftest import DOT, NARROW, is_fault, kept_job
from .jobs import BENCH, ONE

JOB_MODULE = own_module("job/job.js")
KEEPS = "(job) => localStorage.setItem('seatmesh job', JSON.stringify(job))"


@pytest.fixture
def tabs(chromium, address):
    """Return a function that opens one more tab of one browser, whose store is its own and begins with a job."""
    context, faults = chromium.new_context(viewport=NARROW), []
    context.route("**/pictures/view.png", lambda route: route.fulfill(body=DOT, content_type="image/png"))
    context.add_init_script(DEAF)

    def open_tab(step="", job=None):
        page = context.new_page()
        page.set_default_timeout(PATIENCE_MS)
        page.on("pageerror", lambda error: faults.append(str(error)))
        page.on("console", lambda said: faults.append(said.text) if is_fault(said) else None)
        if job is not None:
            page.goto(f"{address}/page/seat.svg")
            page.evaluate(KEEPS, job)
        page.goto(f"{address}/#{step}")
        page.get_by_role("heading", level=1).wait_for()
        return page

    yield open_tab
    context.close()
    assert faults == []


def add_mark(page, x, y="141"):
    # Marks that are there have the same fields, in their lists.
    form = page.locator("form")
    form.get_by_label("From the centre line").fill(x)
    form.get_by_label("From the rear edge").fill(y)
    page.get_by_role("button", name="Add this mark").click()


def add_remark(page, words):
    page.get_by_label("What the client said").fill(words)
    page.get_by_role("button", name="Add this remark").click()


def key_reading(page, text):
    page.locator(".keys").wait_for()
    for key in text:
        page.locator(".keys").get_by_role(
            "button", name="point" if key == "." else key, exact=key != "."
        ).click()
    page.get_by_role("button", name="Next", exact=True).click()


def add_sitter(page, name):
    page.get_by_role("button", name="Add another sitter").click()
    page.get_by_label("Name", exact=True).last.fill(name)
    page.get_by_label("Stature", exact=True).last.fill("1700")
    page.get_by_label("Body mass", exact=True).last.fill("70")


def add_wish(page, label, value):
    page.get_by_label(f"{label}, typed").fill(value)
    page.get_by_label(f"{label}, typed").press("Tab")


def marks(job):
    return sorted(abs(one["x_mm"]) for one in job["marks"])


def remarks(job):
    return sorted(one["why"] for one in job["adjustments"])


def readings(job):
    return sorted(one["text"] for one in job["gauge"]["readings"].values())


def sitters(job):
    return sorted(one["name"] for one in job["sitters"])


def wished(job):
    return job["wishes"]


# Each: where, what is typed in one tab and in the other, how it is read, and what has to be there of both.
TYPED = {
    "marks": ("bench/marks", lambda p: add_mark(p, "54"), lambda p: add_mark(p, "57"), marks, [54, 57]),
    "remarks": ("bench/remarks", lambda p: add_remark(p, "hard"), lambda p: add_remark(p, "cold"), remarks,
                ["cold", "hard"]),
    "readings": ("bench/gauge", lambda p: key_reading(p, "61.5"),
                 lambda p: (p.get_by_role("button", name="Next", exact=True).click(), key_reading(p, "62")),
                 readings, ["61.5", "62"]),
    "sitters": ("sitters", lambda p: add_sitter(p, "Ann"), lambda p: add_sitter(p, "Bea"), sitters,
                ["Ann", "Bea", "Nan"]),
    "wishes": ("wishes", lambda p: add_wish(p, "Depth of the hollow", "15"), lambda p: add_wish(p, "Front roll", "12"),
               wished, {"depth_mm": 15, "front_roll_mm": 12}),
}  # fmt: skip


def until(read, wanted, page):
    for _ in range(100):
        if read(kept_job(page)) == wanted:
            return
        page.wait_for_timeout(100)
    assert read(kept_job(page)) == wanted


@pytest.mark.parametrize("first", [0, pytest.param(1, marks=pytest.mark.slow)])
@pytest.mark.parametrize("what", TYPED)
def test_what_is_typed_in_both_is_there_in_both(tabs, what, first):
    step, *typing, read, wanted = TYPED[what]
    older = tabs(step, ONE)
    newer = tabs(step)
    pages = (older, newer) if first == 0 else (newer, older)
    for page, typed in zip(pages, typing, strict=True):
        typed(page)
    until(read, wanted, older)
    for page in pages:
        own = page.evaluate(f"async () => (await {JOB_MODULE}).job")
        assert read(own) == wanted
    # And a tab that is opened later, with one of them closed, shows all of it.
    newer.close()
    again = tabs(step)
    assert read(again.evaluate(f"async () => (await {JOB_MODULE}).job")) == wanted
    typing[0](again)
    until(lambda job: read(job) != wanted or what == "wishes", True, older)
    assert read(kept_job(again)) == read(older.evaluate(f"async () => (await {JOB_MODULE}).job"))


def test_the_older_tab_shows_what_the_newer_one_adds(tabs):
    older, newer = tabs("bench/marks", ONE), tabs("bench/marks")
    add_mark(newer, "54")
    older.get_by_role("heading", name="Marks, 1").wait_for()
    add_mark(older, "57")
    newer.get_by_role("heading", name="Marks, 2").wait_for()
    newer.get_by_role("button", name="Remove mark 1").click()
    older.get_by_role("heading", name="Marks, 1").wait_for()
    assert marks(kept_job(older)) == [57]


def test_what_is_taken_away_in_one_tab_does_not_come_back(tabs):
    older, newer = tabs("bench/marks", BENCH), tabs("bench/remarks")
    older.get_by_role("button", name="Remove mark 3").click()
    newer.get_by_label("Keep it, whatever is undone").check()
    add_mark(older, "40")
    until(marks, [40, 56, 58], newer)
    assert kept_job(older)["adjustments"][0]["locked"] is True


def test_somebody_who_types_is_not_disturbed(tabs):
    here, there = tabs("wood", ONE), tabs("wood")
    field = here.get_by_label("Thickness", exact=True)
    field.focus()
    field.press("ControlOrMeta+a")
    field.press_sequentially("4")
    there.get_by_label("Width", exact=True).fill("500")
    here.wait_for_function(
        "() => document.querySelector('[data-key=\"blank.width_mm\"] input').value === '500'"
    )
    here.keyboard.type("2.")  # the caret is still there, and the dot is not lost
    there.get_by_label("Deck", exact=True).fill("61")
    here.wait_for_function(
        "() => document.querySelector('[data-key=\"blank.deck_mm\"] input').value === '61'"
    )
    here.keyboard.type("5")
    assert field.input_value() == "42.5"
    until(lambda job: job["blank"], {"width_mm": 500, "deck_mm": 61, "thickness_mm": 42.5}, there)


def test_a_sitter_removed_here_and_measured_there_stays(tabs):
    here, there = tabs("sitters", ONE), tabs("sitters")
    add_sitter(here, "Ann")
    there.get_by_role("heading", name="Ann").wait_for()
    # Both at once: neither has heard of the other's edit.
    deaf(there, True)
    here.get_by_role("button", name="Remove Ann").click()
    edit(there, "job.sitters[1].measures.hip_breadth_sitting_mm = 371")
    deaf(there, False)
    until(sitters, ["Ann", "Nan"], here)
    assert kept_job(here)["sitters"][1]["measures"]["hip_breadth_sitting_mm"] == 371


def test_one_value_changed_in_both_at_once_is_told(tabs):
    here, there = tabs("wood", ONE), tabs("wood")
    deaf(there, True)
    edit(here, "job.blank.width_mm = 470")
    here.wait_for_timeout(30)
    edit(there, "job.blank.width_mm = 490")
    deaf(there, False)
    until(lambda job: job["blank"]["width_mm"], 490, here)
    for page in (here, there):
        assert page.evaluate(f"async () => (await {JOB_MODULE}).job.blank.width_mm") == 490
    words = here.locator(".notice").inner_text()
    assert "470" in words
    assert "490" in words


def test_another_tab_opens_another_job(tabs, tmp_path):
    here, there = tabs("bench/marks", ONE), tabs("take")
    path = tmp_path / "other.toml"
    path.write_text("title = 'Stool'\n[[sitter]]\nbody = { stature_mm = 1700, mass_kg = 70 }\n")
    there.get_by_label("Open an order file").set_input_files(path)
    here.get_by_text("Another tab opened “Stool”").wait_for()
    add_mark(here, "44")
    until(lambda job: (job["title"], marks(job)), ("Stool", [44]), there)
    # What it took the place of comes back, and the other goes among the earlier ones.
    there.goto(there.url.split("#")[0] + "#take")
    there.get_by_role("button", name="Bring it back").click()
    until(lambda job: job["title"], ONE["title"], here)
    there.goto(there.url.split("#")[0] + "#take")
    there.get_by_text("Stool", exact=True).wait_for()


DEAF = """
window.missed = [];
const read = Storage.prototype.getItem;
Storage.prototype.getItem = function (key) {
    return window.then && key === 'seatmesh job' ? window.then : read.call(this, key);
};
addEventListener('storage', (event) => {
    if (!window.then) return;
    window.missed.push(event);
    event.stopImmediatePropagation();
});
"""


def deaf(page, is_deaf):
    """Let a tab see the store as it was and hear of no change, as for a moment where tabs are own processes."""
    page.evaluate(
        """(isDeaf) => {
            window.then = isDeaf ? localStorage.getItem('seatmesh job') : null;
            if (!isDeaf)
                for (const { key, newValue } of window.missed.splice(0))
                    dispatchEvent(new StorageEvent('storage', { key, newValue }));
        }""",
        is_deaf,
    )


def edit(page, script):
    page.evaluate(f"async () => (await {JOB_MODULE}).change((job) => {{ {script} }})")


def settled(pages):
    """Wait until all tabs and the store hold one job; return it."""
    for _ in range(100):
        held = [page.evaluate(f"async () => (await {JOB_MODULE}).job") for page in pages]
        jobs = [{key: value for key, value in one.items() if key not in ("seen", "by", "at", "seat")}
                for one in (*held, kept_job(pages[0]))]  # fmt: skip
        if all(one == jobs[0] for one in jobs):
            return jobs[0]
        pages[0].wait_for_timeout(100)
    raise AssertionError("the tabs do not agree: " + json.dumps(jobs)[:3000])


@pytest.mark.parametrize("seed", [0, *(pytest.param(seed, marks=pytest.mark.slow) for seed in range(1, 12))])
def test_three_tabs_that_see_each_other_late_come_to_one_job_with_all_of_it(tabs, seed):
    chance = random.Random(seed)
    pages = [tabs("wood", ONE), tabs("wood"), tabs("wood")]
    have, gone, values = {"marks": set(), "readings": {}}, set(), {}
    for number in range(40):
        page = chance.choice(pages)
        is_late = chance.random() < 0.5
        others = [one for one in pages if one is not page]
        if is_late:
            for one in others:
                deaf(one, True)
        for who in (page, *(others if is_late else [])):
            what = chance.choice(["mark", "mark", "reading", "away", "wish"])
            name = f"{number}-{pages.index(who)}"
            if what == "mark":
                edit(
                    who,
                    f"job.marks.push({{ id: 'zz-{number:03}-{pages.index(who)}', name: '{name}', x_mm: 1, y_mm: 2 }})",
                )
                have["marks"].add(name)
            elif what == "reading":
                edit(who, f"job.gauge.readings['{name} 0'] = {{ text: '{number}', units: 'mm' }}")
                have["readings"][f"{name} 0"] = str(number)
            elif what == "wish":
                # Each tab has wishes of its own: those of one value are in the test above.
                values[f"own{pages.index(who)}_mm"] = number
                edit(who, f"job.wishes.own{pages.index(who)}_mm = {number}")
            else:
                there = who.evaluate(f"async () => (await {JOB_MODULE}).job.marks.map((one) => one.name)")
                if there:
                    away = chance.choice(there)
                    edit(who, f"job.marks = job.marks.filter((one) => one.name !== '{away}')")
                    gone.add(away)
        if is_late:
            for one in chance.sample(others, 2):
                deaf(one, False)
    job = settled(pages)
    assert {one["name"] for one in job["marks"]} == have["marks"] - gone
    assert {key: one["text"] for key, one in job["gauge"]["readings"].items()} == have["readings"]
    assert {key: value for key, value in job["wishes"].items() if key.startswith("own")} == values
