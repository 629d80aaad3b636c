"""The whole way through the page: for one sitter and for four, in mm and in inches, wide and narrow."""

import io
import json
import re
import tomllib

import pytest
import trimesh

from .conftest import NARROW, kept_job, shaped
from .jobs import FOUR, ONE, in_units

BEGINNINGS = {
    "pdf": b"%PDF",
    "png": b"\x89PNG",
    "svg": b"<",
    "3mf": b"PK",
    "step": b"ISO-10303-21",
    "glb": b"glTF",
    "ply": b"ply",
    "zip": b"PK",
}
STEPS = ("sitters", "wood", "wishes", "seat", "compare", "take")


def test_one_sitter_from_nothing_to_a_mesh_and_back(opened, address, tmp_path):
    page = opened()
    page.get_by_label("What the seat is called").fill("Reading chair")
    page.get_by_label("Name", exact=True).fill("Nan")
    page.get_by_label("female", exact=True).check(force=True)
    page.get_by_label("Stature", exact=True).fill("1640")
    page.get_by_label("Body mass", exact=True).fill("61")
    page.get_by_label("Body mass", exact=True).press("Tab")
    page.locator(".surely tr", has_text="Hip breadth").get_by_text("to").wait_for()
    page.get_by_role("link", name="The wood and the chair →").click()
    page.get_by_label("Thickness", exact=True).fill("40")
    page.get_by_role("link", name="Wishes →").click()
    depth = page.get_by_role("slider", name="Depth of the hollow")
    assert float(depth.get_attribute("max")) == 20.0  # 40 thick less a floor of 20
    page.get_by_label("Depth of the hollow, typed").fill("15")
    page.get_by_label("Depth of the hollow, typed").press("Tab")
    page.get_by_text("Best shape: deepest 15 mm, 25 mm of wood left there.").wait_for()
    page.get_by_role("link", name="The seat →").click()
    page.locator(".spots li").first.wait_for()
    assert "sit bone" in page.locator(".spots").inner_text()
    assert re.search(
        r"15 mm\s+[\d.]+ kPa|14 mm\s+[\d.]+ kPa",
        page.locator("section", has_text="What depth buys").inner_text(),
    )
    page.goto(f"{address}/#take")
    shaped(page)
    page.get_by_label("1:4").check(force=True)
    with page.expect_download() as saved:
        page.get_by_role("button", name="STL").click()
    mesh = trimesh.load(io.BytesIO(saved.value.path().read_bytes()), file_type="stl")
    assert mesh.is_watertight
    assert mesh.extents == pytest.approx([120.0, 107.5, 10.0], abs=1e-3)
    with page.expect_download() as saved:
        page.get_by_role("button", name="Save the order file").click()
    order = tomllib.loads(saved.value.path().read_text())
    assert order["sitter"][0]["body"]["stature_mm"] == 1640
    assert order["wishes"] == {"depth_mm": 15}
    before = kept_job(page)
    page.get_by_role("button", name="Begin another job").click()
    page.get_by_role("button", name="Begin anew").click()
    assert kept_job(page)["sitters"][0]["measures"] == {}
    page.goto(f"{address}/#take")
    path = tmp_path / "reading-chair.toml"
    path.write_text(saved.value.path().read_text())
    page.get_by_label("Open an order file").set_input_files(path)
    page.wait_for_url("**/#sitters")
    shaped(page)
    after = kept_job(page)
    for key in ("title", "units", "blank", "chair", "wishes", "seat"):
        assert after[key] == before[key], key
    assert after["sitters"][0]["measures"] == before["sitters"][0]["measures"]


@pytest.mark.slow
def test_every_file_can_be_taken_away(opened):
    page = opened(ONE, "take")
    shaped(page)
    page.set_default_timeout(120_000)
    for button in page.locator(".files button").all():
        with page.expect_download() as saved:
            button.click()
        kind = saved.value.suggested_filename.rpartition(".")[2]
        data = saved.value.path().read_bytes()
        assert saved.value.suggested_filename.startswith("reading-chair")
        assert data.startswith(BEGINNINGS.get(kind, b"")), kind
        assert len(data) > 1000, kind


@pytest.mark.slow
def test_four_sitters_on_a_telephone_in_inches(opened, address):
    page = opened(
        in_units(
            {"title": "", "sitters": [{"name": "", "sex": "", "measures": {}, "habit": {}, "weight": 1}]},
            "in",
        ),
        "sitters",
        NARROW,
    )
    for player in ("violin-1", "violin-2", "viola", "cello"):
        page.get_by_label("An example sitter, with invented measures").select_option(player)
        page.get_by_role("region", name=player.replace("-", " ")).wait_for()
    habit = kept_job(page)["sitters"][3]["habit"]
    assert habit == {
        "splay_deg": 14,
        "pelvis_tilt_deg": 0,
        "forward_mm": 25,
        "across_mm": 0,
    }  # as in bodies/cello.toml
    page.goto(f"{address}/#wood")
    page.get_by_label("Depth", exact=True).first.fill('15 3/4"')
    page.get_by_label("Depth", exact=True).first.press("Tab")
    page.goto(f"{address}/#compare")
    page.wait_for_function("() => document.querySelectorAll('.maps svg').length === 4")
    table = page.get_by_role("table").inner_text()
    assert re.search(r"Knee room(\s+\d*\s?\d+/\d+\"|\s+\d+\"){4}", table)
    assert re.search(r"What sharing costs(\s+\d+\s%){4}", table)
    assert "feels the least pressure" in page.locator("main").inner_text()
    assert kept_job(page)["blank"]["depth_mm"] == 400.05
    page.goto(f"{address}/#seat")
    page.get_by_label("viola", exact=True).check(force=True)
    page.get_by_role("heading", name="Contact map, viola").wait_for()
    assert not re.search(r"\smm\b", page.locator("main").inner_text())


@pytest.mark.slow
@pytest.mark.parametrize("units", ["mm", "in"])
def test_nothing_is_wider_than_a_telephone(opened, address, units):
    page = opened(in_units(FOUR, units), "sitters", NARROW)
    for step in (*STEPS, "bench/marks", "bench/remarks", "bench/gauge"):
        page.goto(f"{address}/#{step}")
        shaped(page)
        assert page.evaluate("document.documentElement.scrollWidth") <= NARROW["width"], step


def test_a_wish_that_is_slid_is_followed_and_then_made_best(opened):
    page = opened(ONE, "wishes")
    shaped(page)
    asked = []
    page.on("request", lambda one: asked.append(one.url.rsplit("/", 1)[-1]) if one.method == "POST" else None)
    slider = page.get_by_role("slider", name="Depth of the hollow")
    box = slider.bounding_box()
    middle = box["y"] + box["height"] / 2
    page.mouse.move(box["x"] + 0.4 * box["width"], middle)
    page.mouse.down()
    page.mouse.move(box["x"] + 0.7 * box["width"], middle, steps=8)
    page.wait_for_selector("body[data-seat=following]")
    page.get_by_text("The fitted seat, while you slide").wait_for()
    assert "seats" not in asked
    page.mouse.up()
    shaped(page)
    wished = kept_job(page)["wishes"]["depth_mm"]
    assert wished > ONE["wishes"]["depth_mm"]
    page.get_by_text(f"Best shape: deepest {wished:g} mm").wait_for()


def test_a_late_answer_never_stands_over_a_newer_one(opened):
    page = opened(ONE, "wishes")
    shaped(page)
    held = []

    def hold_the_first(route):
        if held:
            route.continue_()
        else:
            held.append(route)

    page.route("**/seats/previews", hold_the_first)
    slider = page.get_by_role("slider", name="Depth of the hollow")
    # Two steps without release: only `input` events, as while sliding.
    slide = "(slider, value) => { slider.value = value; slider.dispatchEvent(new Event('input', { bubbles: true })); }"
    slider.evaluate(slide, 24)
    page.wait_for_timeout(100)
    slider.evaluate(slide, 8)
    slider.evaluate("(slider) => slider.dispatchEvent(new Event('change', { bubbles: true }))")
    page.get_by_text("Best shape: deepest 8 mm").wait_for()
    held[0].continue_()
    page.wait_for_timeout(700)
    page.get_by_text("Best shape: deepest 8 mm").wait_for()


def test_a_refusal_stands_beside_its_field_and_nothing_typed_is_lost(opened, address):
    page = opened(ONE, "wood")
    shaped(page)
    page.get_by_label("Floor", exact=True).fill("41")
    page.get_by_label("Floor", exact=True).press("Tab")
    words = page.locator('[data-key="blank.thickness_mm"] .refusal')
    words.wait_for()
    assert "at least floor 41 mm plus depth of the hollow 14 mm" in words.inner_text()
    page.get_by_label("Width", exact=True).fill("4 80")
    page.get_by_label("Width", exact=True).press("Tab")
    assert "not a length" in page.locator('[data-key="blank.width_mm"] .refusal').inner_text()
    page.reload()
    assert page.get_by_label("Width", exact=True).input_value() == "4 80"
    assert page.get_by_label("Floor", exact=True).input_value() == "41"


def test_a_file_that_is_no_order_is_refused_in_words(opened, address, tmp_path):
    page = opened(ONE, "take")
    path = tmp_path / "other.toml"
    path.write_text("[[sitter]]\nbody = 'cello'\ncolour = 'red'\n")
    page.get_by_label("Open an order file").set_input_files(path)
    told = page.locator(".refusal", has_text="other.toml")
    told.wait_for()
    assert "colour" in told.inner_text()
    assert kept_job(page)["title"] == ONE["title"]


def test_the_order_is_that_of_the_job(opened, address):
    page = opened(FOUR, "seat")
    with page.expect_request("**/seats") as sent:
        page.reload()
    order = json.loads(sent.value.post_data)
    assert [one["name"] for one in order["sitter"]] == ["violin 1", "violin 2", "viola", "cello"]
    assert order["blank"] == {"depth_mm": 400}
    assert order["wishes"] == {"depth_mm": 16}
