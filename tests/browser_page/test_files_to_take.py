"""Files to take, in four groups: what is asked for goes to the service, and the file comes."""

import io
import zipfile
from urllib.parse import parse_qs, urlsplit

import pytest

from .conftest import NARROW, kept_job, shaped
from .jobs import FOUR, ONE, in_units
from .test_reach import axe_faults


def taken(page, name):
    """Press a file's button; return what was asked for, the file's name and its bytes."""
    with page.expect_download(timeout=240_000) as saved, page.expect_request("**/seats/*/**") as asked:
        page.get_by_role("button", name=name, exact=True).click()
    address = urlsplit(asked.value.url)
    wishes = {key: one for key, (one,) in parse_qs(address.query).items()}
    return address.path, wishes, saved.value.suggested_filename, saved.value.path().read_bytes()


def test_the_files_stand_in_four_groups(opened):
    page = opened(FOUR, "take", NARROW)
    shaped(page)
    heads = page.locator(".columns h2").all_inner_texts()
    assert heads == ["For the bench", "To show the client", "For a printer", "For other programs"]
    assert axe_faults(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= NARROW["width"]


def test_a_mock_up_is_cut_to_the_bed_that_is_asked_for(opened):
    page = opened(in_units(ONE, "in"), "take")
    shaped(page)
    page.get_by_label("Bed, width").fill("4")
    page.get_by_label("Bed, depth").fill("3 1/2")
    page.get_by_label("Scale of the mock-up").select_option("1:5")
    page.get_by_label("A sitter to hold against it").select_option("Nan")
    path, wishes, name, data = taken(page, "Mock-up in parts")
    assert path.endswith("/mock-up.zip")
    assert wishes == {
        "scale": "1:5", "bed_width_mm": "101.6", "bed_depth_mm": "88.9", "bed_height_mm": "220", "wall_mm": "1.2",
        "sitter": "1",
    }  # fmt: skip
    assert name == "reading-chair-mock-up-1-5-mm.zip"
    names = zipfile.ZipFile(io.BytesIO(data)).namelist()
    assert "parts.csv" in names
    assert any("sitter-nan" in one for one in names)
    # What was typed is there again after a reload, in the unit that it was typed in.
    page.reload()
    shaped(page)
    assert page.get_by_label("Bed, depth").input_value() == "3 1/2"
    assert kept_job(page)["title"] == ONE["title"]


def test_a_bed_that_is_too_small_is_refused_beside_its_button(opened):
    page = opened(ONE, "take")
    shaped(page)
    page.get_by_label("Scale of the mock-up").select_option("1:1")
    page.get_by_label("Height").fill("20")
    page.get_by_role("button", name="Mock-up in parts").click()
    refusal = page.locator(".files .refusal:visible")
    refusal.wait_for()
    assert "20" in refusal.inner_text()


@pytest.mark.parametrize("units", ["mm", "in"])
def test_the_gauge_on_paper_is_that_of_the_bench(opened, units):
    gauge = {"spacing_mm": 60, "bar_height_mm": 72, "rod_offset_mm": 3, "tolerance_mm": 0.5, "readings": {}}
    page = opened(in_units({**ONE, "gauge": gauge}, units), "take")
    shaped(page)
    path, wishes, name, data = taken(page, "Gauge sheet to write on")
    assert path.endswith("/gauge-sheet.pdf")
    assert wishes == {
        "spacing_mm": "60", "bar_height_mm": "72", "rod_offset_mm": "3", "units": units,
        "paper": "Letter" if units == "in" else "A4",
    }  # fmt: skip
    assert name == "reading-chair-gauge-sheet.pdf"
    assert data.startswith(b"%PDF")


def test_pressure_of_the_chosen_sitter_goes_onto_the_mesh(opened):
    page = opened({**FOUR, "sitters": FOUR["sitters"][:2]}, "take")
    shaped(page)
    page.get_by_label("Whose pressure").select_option("violin 2")
    page.get_by_label("Cut mortises and housings too").check()
    path, wishes, name, data = taken(page, "PLY with pressure")
    assert path.endswith("/mesh.ply")
    assert wishes == {"scale": "1:1", "sitter": "2", "joint_holes": "true"}
    assert name == "practice-room-pressure-2-mm.ply"
    assert b"pressure_kpa" in data[:2000]


def test_no_sheets_of_the_seat_before_are_offered_for_one_that_was_refused(opened, address):
    page = opened(ONE, "take")
    shaped(page)
    page.get_by_role("button", name="Sheets to print").wait_for()
    page.goto(f"{address}/#wood")
    page.get_by_label("Thickness", exact=True).fill("19")
    page.get_by_label("Thickness", exact=True).press("Tab")
    page.wait_for_selector("body[data-seat=refused]")
    page.goto(f"{address}/#take")
    page.get_by_text("There is nothing to take away until there is a seat.").wait_for()
    assert page.get_by_role("button", name="Sheets to print").count() == 0
