"""The example job fills every step, and gives way to one's own."""

import pytest

from .conftest import kept_job, shaped

FILLED = {
    "sitters": ".certainty:visible",
    "wood": "svg:visible",
    "wishes": ".follows .view-place",
    "seat": ".drawing",
    "compare": ".maps svg >> nth=1",
    "take": ".files button:enabled",
    "bench/marks": "text=What the marks say >> visible=true",
    "bench/remarks": "text=sharp under both sit bones >> visible=true",
    "bench/gauge": "text=Crossing >> visible=true",
}


@pytest.fixture
def example(opened):
    page = opened()
    page.set_default_timeout(120_000)
    page.get_by_role("button", name="Open the example job").click()
    page.get_by_role("button", name="Begin your own job").wait_for()
    shaped(page)
    return page


def test_the_example_fills_every_step(example, address):
    job = kept_job(example)
    assert [one["name"] for one in job["sitters"]] == ["violin 1", "cello"]
    assert len(job["marks"]) == 2
    assert sum(bool(one["text"]) for one in job["gauge"]["readings"].values()) > 50
    for step, what in FILLED.items():
        example.goto(f"{address}/#{step}")
        example.locator(what).first.wait_for()
        assert example.locator(".refusal:visible").count() == 0, step
    example.goto(f"{address}/#bench/gauge")
    example.click("text=Where to cut next >> visible=true")
    example.wait_for_selector("#cut-next")


def test_it_gives_way_to_ones_own(example):
    example.get_by_role("button", name="Begin your own job").click()
    example.get_by_role("button", name="Open the example job").wait_for()
    job = kept_job(example)
    assert (job["title"], job["sitters"][0]["measures"], job["gauge"]["readings"]) == ("", {}, {})
    example.get_by_label("Stature", exact=True).fill("1700")
    example.reload()
    example.get_by_label("Stature", exact=True).wait_for()
    assert example.get_by_role("button", name="Open the example job").count() == 0
    assert example.get_by_role("button", name="Begin your own job").count() == 0


def test_from_a_step_that_has_nothing_to_show(opened, address):
    page = opened(None, "seat")
    page.set_default_timeout(120_000)
    page.get_by_role("button", name="Open the example job").click()
    page.get_by_role("heading", name="Contact map, violin 1").wait_for()
    assert page.url == f"{address}/#seat"
