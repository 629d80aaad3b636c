"""All that an order can hold, on the page: each key is reached, set and sent; an opened order comes back the same."""

import json

import pytest

from seatmesh.design.vocabulary import vocabulary

from .conftest import kept_job
from .jobs import ONE, sitter

WORDS = vocabulary()
TABLES = WORDS["tables"]
STEPS = {
    **dict.fromkeys(("blank", "chair", "joint", "board", "tool", "wood", "built"), "wood"),
    **dict.fromkeys(("wishes", "order"), "wishes"),
    "sitter": "sitters",
    "mark": "bench/marks",
    "adjustment": "bench/remarks",
}
JOINTS = ["leg mortise", "back post", "bar", "polygon"]
ROWS = {
    "joint": [{"kind": one, "x_mm": 100, "y_mm": 200} for one in JOINTS],
    "board": [{}],
    "tool": [{"kind": "disc"}],
}
JOB = {
    **ONE,
    "sitters": [*ONE["sitters"], sitter("Ben", "", stature_mm=1800, mass_kg=80)],
    "others": ROWS,
    "marks": [{"name": "sit bone", "side": "left", "x_mm": -56, "y_mm": 150, "sitter": "Nan"}],
    "adjustments": [
        {"action": "ease", "x_mm": 60, "y_mm": 150, "radius_mm": 40, "amount_mm": 1.5, "side": "both"}
    ],
}
BESIDE = {("order", "units"), ("sitter", "body"), ("order", "title")}
"""Units are chosen in the head, the title with the sitters; a body is its measures."""
LISTS = {
    "lengths": ([-80.5, 80], "−80,5; 80"),
    "shares": ([0.5, 0.8], "0.5; 0.8"),
    "points": ([[0, 0.5], [200, 15], [0, 400]], "0; 0,5\n200; 15\n0; 400"),
    "depths": ([[-60, 160, 17.5]], "−60; 160; 17,5"),
    "pith": ([20.5, 90], "20,5; 90"),
}


def held(table):
    """Keys of a table that a request can have."""
    keys = WORDS["habit"]["keys"] if table == "habit" else TABLES[table]["keys"]
    return {key: one for key, one in keys.items() if not one.get("names_file") and (table, key) not in BESIDE}


def made_up(one, but=None):
    """A value of a kind, and how it is typed."""
    kind = one["kind"]
    if kind in LISTS:
        return LISTS[kind]
    if kind == "word":
        word = next(word for word in reversed(one["choices"]) if word not in (one["default"], but))
        return word, word
    if kind in ("text", "day", "flag"):
        return {"text": ("walnut", "walnut"), "day": ("2026-05-31", "2026-05-31"), "flag": (True, True)}[kind]
    if kind == "count":
        return 3, "3"
    value = one["lowest"] + 0.37 * (one["highest"] - one["lowest"])
    value = round(2 * value) / 2 + 0.5 if one["highest"] - one["lowest"] > 4 else float(f"{value:.3g}")
    return value, f"{value:g}".replace(".", ",").replace("-", "−")


@pytest.fixture
def sent(opened):
    """Return a function that opens a step, and the orders that it asks a seat for; none is shaped."""
    orders = []
    problem = json.dumps({"title": "Refused", "status": 422, "detail": "no seat is shaped here"})

    def take(route):
        orders.append(json.loads(route.request.post_data))
        route.fulfill(status=422, body=problem, content_type="application/problem+json")

    def step(job, name):
        page = opened(job, name)
        page.route("**/seats", take)
        page.reload()
        page.wait_for_selector("body[data-seat=refused]")
        page.wait_for_selector("#step > h1", state="attached")
        return page

    return step, orders


def unfold(page):
    page.evaluate("document.querySelectorAll('main details').forEach((one) => { one.open = true; })")


def put(page, name, typed):
    """Set a field of the page as its maker would; return it."""
    unfold(page)
    field = page.locator(f'main [data-key="{name}"]').first
    if field.locator("input[type=radio]").count():
        field.locator(f'input[type=radio][value="{typed}"]').check(force=True)
    elif field.locator("select:not(.unit)").count():
        field.locator("select").select_option(typed)
    elif field.locator("input[type=checkbox]").count():
        field.locator("input[type=checkbox]").check()
    else:
        box = field.locator("input:not([type=range]), textarea").last
        box.fill(typed)
        box.blur()
    return field


def in_order(order, table, number, key):
    told = order.get(table) if table != "order" else order
    if isinstance(told, list):
        told = told[number]
    return (told or {}).get(key)


def row_of(page, table, key):
    """The first row of a table that has a field for a key; None for a table that is written once."""
    if "most" not in TABLES[table]:
        return None
    unfold(page)
    for number in range(4):
        if page.locator(f'main [data-key="{table}.{number}.{key}"]').count():
            return number
    return pytest.fail(f"no field for {table} {key}")


@pytest.mark.parametrize("table", [name for name in TABLES if name != "sitter"])
def test_every_key_is_reached_set_and_sent(sent, table):
    step, orders = sent
    page = step(JOB, STEPS[table])
    missed = []
    for key, one in held(table).items():
        number = row_of(page, table, key)
        now = in_order(orders[-1], table, number, key)
        value, typed = made_up(one, but=now)
        if (table, key) == ("mark", "side"):
            value = typed = "right"
        # Legs stand to either side of the centre line: the page asks how far, without a sign.
        if (table, key) == ("joint", "x_mm"):
            value, typed = 116.5, "116.5"
        name = f"{table}.{key}" if number is None else f"{table}.{number}.{key}"
        before = len(orders)
        put(page, name, typed)
        for _ in range(200):
            if len(orders) > before and in_order(orders[-1], table, number, key) == value:
                break
            page.wait_for_timeout(50)
        else:
            missed.append((name, value, in_order(orders[-1], table, number, key)))
    assert missed == []


def test_every_measure_habit_and_error_of_a_sitter_is_sent(sent):
    step, orders = sent
    page = step(JOB, "sitters")
    for key, one in WORDS["measures"].items():
        value = round(one["lowest"] + 0.4 * (one["highest"] - one["lowest"])) + 0.5
        put(page, f"sitter.0.{key}", f"{value:g}".replace(".", ","))
        assert kept_job(page)["sitters"][0]["measures"][key] == value, key
    for key, one in held("habit").items():
        value, typed = made_up(one)
        put(page, f"sitter.0.habit.{key}", typed)
        assert kept_job(page)["sitters"][0]["habit"][key] == value, key
    put(page, "sitter.0.weight", "2,5")
    put(page, "sitter.0.name", "Ann")
    put(page, "sitter.0.sex", "male")
    page.reload()
    page.wait_for_selector("body[data-seat=refused]")
    put(page, "sitter.0.standard_errors.stature_mm", "3,5")
    page.wait_for_timeout(200)
    body = orders[-1]["sitter"][0]["body"]
    assert set(body) >= {*WORDS["measures"], "habit", "sex", "standard_errors"}
    assert set(body["habit"]) == set(WORDS["habit"]["keys"])
    assert body["standard_errors"] == {"stature_mm": 3.5}
    assert (orders[-1]["sitter"][0]["weight"], orders[-1]["sitter"][0]["name"]) == (2.5, "Ann")


def whole_order():
    """An order with every key of every table that a request can have; no seat could be made of it."""
    order = {"title": "All", "units": "in"}
    for name, table in TABLES.items():
        told = {key: made_up(one)[0] for key, one in held(name).items()}
        if name == "order":
            order |= told
        elif "most" in table:
            order[name] = [told, dict(told)]
        else:
            order[name] = told
    order["tool"][1]["radius_mm"] = '5 3/8"'
    measures = {key: one["highest"] for key, one in WORDS["measures"].items()}
    habit = {key: made_up(one)[0] for key, one in held("habit").items()}
    body = {"name": "Nan", "sex": "female", **measures, "habit": habit, "standard_errors": {"stature_mm": 3}}
    order["sitter"] = [{"name": "Nan", "weight": 2, "body": body}]
    return order


def test_an_opened_order_is_the_same_again(modules):
    order = whole_order()
    script = "one.fromOrder(given, {}, {}); const { job } = await import('/page/job/job.js'); return one.orderOf(job);"
    made = modules("order/order-of-job.js", script, order)
    order["tool"][1]["radius_mm"] = pytest.approx(136.525)
    assert made == order


def test_an_opened_order_shows_each_of_its_keys(sent):
    step, _ = sent
    order = whole_order()
    order["units"] = "mm"
    page = step(JOB, "take")
    data = json.dumps(order).encode()
    page.get_by_label("Open an order file").set_input_files(
        {"name": "all.json", "mimeType": "application/json", "buffer": data}
    )
    page.wait_for_url("**/#sitters")
    missed = []
    for name in TABLES:
        if name == "sitter":
            continue
        page.goto(f"{page.url.split('#')[0]}#{STEPS[name]}")
        page.wait_for_function("(step) => location.hash === step", arg=f"#{STEPS[name]}")
        page.wait_for_timeout(100)
        unfold(page)
        for key, one in held(name).items():
            row = f"{name}.0" if "most" in TABLES[name] else name
            if key == "outline":
                continue  # an own outline stands in its place
            field = page.locator(f'main [data-key="{row}.{key}"]').first
            value, _ = made_up(one)
            if not field.count():
                missed.append((name, key))
            elif one["kind"] not in ("word", "flag"):
                box = field.locator("input:not([type=range]):not([type=radio]), textarea, select").last
                shown = box.input_value()
                if not shown or (isinstance(value, float) and shown != f"{value:g}"):
                    missed.append((name, key, value, shown))
    assert missed == []


def test_what_was_typed_stays_as_typed_whatever_the_unit(sent):
    step, _ = sent
    page = step(JOB, "wood")
    fields = {"tool.0.radius_mm": "41,5", "wood.planing_mm": "1/8 in", "blank.glue_lines_mm": "−80; 80",
              "board.0.pith_mm": "7 cm", "built.deepest_mm": "17,25"}  # fmt: skip
    for name, typed in fields.items():
        put(page, name, typed)

    def shown(name):
        box = page.locator(f'main [data-key="{name}"]').first.locator("input, textarea").last
        return box.input_value()

    assert {name: shown(name) for name in fields} == fields
    page.get_by_role("radio", name="inches").check(force=True)
    there = {name: shown(name) for name in fields}
    assert there["tool.0.radius_mm"] == "1 5/8"
    assert there["wood.planing_mm"] == "1/8 in"  # it brings its unit
    page.get_by_role("radio", name="mm").check(force=True)
    assert {name: shown(name) for name in fields} == fields
    page.reload()
    page.wait_for_selector("body[data-seat=refused]")
    assert {name: shown(name) for name in fields} == fields
