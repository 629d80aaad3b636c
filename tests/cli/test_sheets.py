"""`seatmesh sheets` as a maker meets it: files of an order and of a seat, the job sheet, refusals."""

from __future__ import annotations

import json
import re
import subprocess
import sys

import pypdfium2
import pytest

import seatmesh.design.job_sheet.job_pictures as pictures
from seatmesh import write_seat
from seatmesh.body.people_words import SURVEY
from seatmesh.cautions import CAUTIONS
from seatmesh.cli import main
from seatmesh.design.job_sheet.job_pages import job_sheet
from seatmesh.design.job_sheet.job_words import (
    comparison_words,
    figure_words,
    seat_words,
    sitter_words,
    unmeasured_words,
    wish_words,
    wood_words,
)
from seatmesh.design.orders.order import read_order
from seatmesh.design.report.seat_report import report
from seatmesh.design.report.unmeasured_report import with_unmeasured
from seatmesh.design.shape import design
from seatmesh.sheets.plan.plan_cut import CUT_RULE
from seatmesh.sheets.sheet_wishes import SheetWishes, Speech

MM = 25.4 / 72.0
ORDER = """title = "The cello's"
[blank]
width_mm = 460
depth_mm = 400
[[sitter]]
body = "cello"
[wishes]
depth_mm = 12
"""


class NoView:
    """Stands for a machine that cannot draw the 3D view."""

    def finish(self) -> str:
        return "3D views were left out (no OpenGL)"


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    folder = tmp_path_factory.mktemp("sheets")
    (folder / "cello.toml").write_text(ORDER, encoding="utf-8")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(pictures, "start_views", lambda jobs: NoView())
        arguments = [
            str(folder / "cello.toml"),
            "--out",
            str(folder / "out"),
            "--format",
            "pdf",
            "--stage",
            "none",
        ]
        assert main(["sheets", *arguments, "--units", "in", "--wood", "walnut"]) == 0
    return folder / "out" / "the-cello-s" / "sheets"


def text_of(path) -> list[str]:
    return [" ".join(page.get_textpage().get_text_bounded().split()) for page in pypdfium2.PdfDocument(path)]


def test_the_files_of_an_order(made) -> None:
    assert sorted(path.name for path in made.iterdir()) == ["job-sheet.pdf", "sheets.pdf"]
    assert not [path for path in made.parents[1].iterdir() if path.name.startswith(".")]


def test_the_job_sheet_tells_maker_and_client_all(made) -> None:
    found = text_of(made / "job-sheet.pdf")
    whole = " ".join(found)
    for words in (
        "The cello's",
        "Made for cello",
        "walnut",
        'Hollow 15/32" deep',
        "Pommel",
        "Front roll",
        "Rake",
    ):
        assert words.lower() in whole.lower()
    for heading in (
        "Where it presses",
        "Measures and figures",
        "Body measures",
        "Fitting notes",
        "take or leave",
        "client",
    ):
        assert heading in whole
    assert "hip breadth" in whole
    assert "not medical advice" in whole
    assert "the floor is a guide, not a proof" in whole
    assert " mm" not in whole.replace("100 mm", "")


PRIVATE = re.compile(
    r"from memory|\w+_(?:mm|kpa|deg|cm2|n)\b|converged|solver|spline|residual|iterat|\bfitted\b|\bbest\b|\d N\b|, N\b"
)


def test_no_word_of_the_program_s_own_is_on_customers_paper(made) -> None:
    """And what a kPa and a peak are stands on every page that has them."""
    for page in (*text_of(made / "job-sheet.pdf"), *text_of(made / "sheets.pdf")):
        assert not PRIVATE.search(page), page
        if "kPa" in page:
            assert "7 kPa are about one pound on each square inch" in page
    table = next(page for page in text_of(made / "job-sheet.pdf") if "Measures and figures" in page)
    assert 'The peak is the pressure where it presses hardest, the mean of 3/8" square' in table
    assert re.search(r"weight on the seat \d+ lb", table)


SHARED = """title = "all"
[[sitter]]
body = "cello"
[[sitter]]
body = "viola"
[[sitter]]
body = "violin-1"
[[sitter]]
body = "violin-2"
[[sitter]]
body = "cello"
name = "second cello"
[wishes]
depth_mm = 12
[[adjustment]]
date = "2026-01-05"
action = "deepen"
x_mm = 60
y_mm = 150
radius_mm = 60
amount_mm = 1
why = "presses"
"""


def test_no_word_of_a_job_sheet_is_lost_at_the_foot_of_a_page(tmp_path, monkeypatch) -> None:
    """Five sitters, boards, legs and an adjustment: every sentence is read back from the paper, and none runs over."""
    monkeypatch.setattr(pictures, "start_views", lambda jobs: NoView())
    (tmp_path / "all.toml").write_text(SHARED + BOARDS.replace("230", "240"), encoding="utf-8")
    order = read_order(tmp_path / "all.toml")
    one, says = design(order), Speech("mm")
    data, _ = job_sheet(one, SheetWishes(layup=order.layup))
    (tmp_path / "job.pdf").write_bytes(data)
    whole = " ".join(text_of(tmp_path / "job.pdf"))
    figures = with_unmeasured(report(one), one)
    for sentence in (
        *wood_words(one, "cherry", says), *wish_words(one, says), *seat_words(figures, says), *CAUTIONS,
        SURVEY, *unmeasured_words(figures["sitters"], says), comparison_words(figures), figure_words(says),
        *(words for sitter in figures["sitters"] for words in sitter_words(sitter, says)),
    ):  # fmt: skip
        assert sentence in whole, sentence


def test_every_picture_is_on_it(made) -> None:
    """Contact map on two pages as there is no view, plan, sections."""
    pages = list(pypdfium2.PdfDocument(made / "job-sheet.pdf"))
    images = [
        one for page in pages for one in page.get_objects() if one.type == pypdfium2.raw.FPDF_PAGEOBJ_IMAGE
    ]
    assert len(images) == 4
    for page in pages:
        for one in page.get_objects():
            left, low, right, high = one.get_bounds()
            assert left >= -1.0
            assert low >= -1.0
            assert right <= page.get_width() + 1.0
            assert high <= page.get_height() + 1.0


def test_figures_on_it_are_the_seat_s_own(made) -> None:
    """The deepest point as the sheets' plan states it."""
    job, sheets = " ".join(text_of(made / "job-sheet.pdf")), " ".join(text_of(made / "sheets.pdf"))
    assert 'The hollow is 15/32" at its deepest' in job
    assert 'deepest 15/32"' in sheets


@pytest.fixture(scope="module")
def seat_file(tmp_path_factory, carved_seat):
    path = tmp_path_factory.mktemp("seat") / "seat.json"
    write_seat(carved_seat, path)
    return path


def test_json_names_files_pages_and_stages(seat_file, tmp_path, capsys) -> None:
    arguments = [
        "sheets",
        str(seat_file),
        "--out",
        str(tmp_path),
        "--paper",
        "roll",
        "--depth-holes",
        "--stage",
        "all",
        "--json",
    ]
    assert main(arguments) == 0
    out = json.loads(capsys.readouterr().out)
    folder = tmp_path / "viola" / "sheets"
    assert out["folder"] == str(folder)
    assert out["files"] == sorted(path.name for path in folder.iterdir())
    assert {"sheets.pdf", "sheets.dxf", "sheets.svg", "holes.csv", "stage-2-half.pdf"} <= set(out["files"])
    assert [one["name"] for one in out["stages"]] == ["terraces", "half", "four-fifths", "last", "finish"]
    assert out["holes"] == len((folder / "holes.csv").read_text().splitlines()) - 1


def test_a_repeat_is_few_pages_with_holes_cards_and_a_gauge_sheet(seat_file, tmp_path, capsys) -> None:
    arguments = ["sheets", str(seat_file), "--out", str(tmp_path), "--format", "pdf", "--repeat"]
    assert main([*arguments, "--bar-height-mm", "60", "--json"]) == 0
    out = json.loads(capsys.readouterr().out)
    assert out["files"] == ["gauge-sheet.pdf", "holes.csv", "sheets.pdf"]
    kinds = dict.fromkeys(one.split(", ")[0] for one in out["pages"])
    assert list(kinds) == ["Bench card", "Plan", "Depth holes", "Section cards"]
    count = len(out["pages"]) + len(pypdfium2.PdfDocument(tmp_path / "viola" / "sheets" / "gauge-sheet.pdf"))
    assert count <= 18
    (card, *_) = text_of(tmp_path / "viola" / "sheets" / "sheets.pdf")
    assert f"page {out['pages'].index('Depth holes') + 1}" in card
    assert "Carve until every hole is all but gone" in card
    assert main(["sheets", str(seat_file), "--out", str(tmp_path / "x"), "--bar-height-mm", "60"]) == 2
    assert "it goes with --repeat" in capsys.readouterr().err


def test_a_named_bit_stands_in_words_csv_and_json(seat_file, tmp_path, capsys) -> None:
    arguments = [
        "sheets",
        str(seat_file),
        "--out",
        str(tmp_path),
        "--format",
        "svg",
        "--bit",
        "6 mm twist, tip 2 mm",
    ]
    assert main(arguments) == 0
    assert (
        "one bit only: twist 6 mm, point 2 mm at most. Set the stop to its cutting edges"
        in capsys.readouterr().out
    )
    rows = (tmp_path / "viola" / "sheets" / "holes.csv").read_text().splitlines()
    assert rows[0].startswith("hole,x_mm,y_mm,bit_mm,tip_mm,stop_mm")
    assert all(
        row.split(",")[3:5] == ["6.0", "2.0"] and row.endswith("twist,cutting edges") for row in rows[1:]
    )
    assert main([*arguments, "--json"]) == 0
    out = json.loads(capsys.readouterr().out)
    assert out["holes"] == len(rows) - 1
    assert out["depth_holes"]["words"] == "twist 6 mm, point 2 mm at most"
    assert (out["depth_holes"]["bit_mm"], out["depth_holes"]["tip_mm"]) == (6.0, 2.0)
    assert (out["depth_holes"]["lean_deg"], out["depth_holes"]["stop_off_mm"]) == (3.0, 0.5)
    assert [one["name"] for one in out["stations"]] == list("ABCDEFG")


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--paper", "A7"], "allowed are A4, A3, Letter, Tabloid, roll"),
        (["--paper", "roll:420"], "needs a roll of"),
        (["--contour-step-mm", "0"], "contour_step_mm"),
        (["--stations-mm", "100,900"], "stations_mm"),
        (["--stations-mm", "a"], "stations-mm"),
        (["--format", "gif"], "--format"),
        (["--stage", "third"], "--stage"),
        (["--wood", "balsam"], "wood"),
        (["--units", "cm"], "units"),
        (["--inch-step", "7"], "inch step"),
        (["--bit", "brad point 6"], "the length '6' has no unit"),
        (["--bit", "auger 10 mm"], "brad point, Forstner or twist"),
        (["--bit", "twist"], "--bit = 'twist'"),
        (["--bit", "twist 60 mm"], "allowed are 2 to 40 mm"),
        (["--bit", "twist -6 mm"], "allowed are 2 to 40 mm"),
        (["--bit", "Forstner 25 mm, tip 40 mm"], "allowed are 0 to 30 mm"),
        (["--bit", "twist 1/4 mm"], "fractions are read in inches only"),
        (["--bit", ""], "--bit"),
        (["--format", "svg", "--out", "/dev/null/x"], "cannot be written"),
    ],
)
def test_refused_with_exit_code_2_and_nothing_written(
    seat_file, tmp_path, capsys, options, words: str
) -> None:
    given = options if "--out" in options else [*options, "--out", str(tmp_path / "out")]
    assert main(["sheets", str(seat_file), *given]) == 2
    assert words in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


def test_an_offset_deck_on_a_tapered_blank_has_its_sheets(tmp_path, capsys):
    order = tmp_path / "order.toml"
    order.write_text(
        'title = "o2"\n[blank]\noutline = "tapered to the rear"\ndeck_line = "offset"\ndeck_mm = 40\n'
        '[[sitter]]\n[sitter.body]\nname = "Nan"\nstature_mm = 1640\nmass_kg = 61\n'
    )
    assert main(["sheets", str(order), "--out", str(tmp_path / "out"), "--format", "pdf"]) == 0
    assert list((tmp_path / "out").rglob("*.pdf"))


BOARDS = """
[[board]]
width_mm = 230
species = "cherry"
rings = "flat"
[[board]]
width_mm = 230
species = "cherry"
rings = "flat"
"""


def test_a_repeat_of_an_order_is_of_its_own_boards(tmp_path, capsys) -> None:
    """Their wood stands on the bench card, and the way to cut it on the plan."""
    (tmp_path / "cello.toml").write_text(ORDER + BOARDS, encoding="utf-8")
    given = ["sheets", str(tmp_path / "cello.toml"), "--out", str(tmp_path / "out"), "--format", "pdf"]
    assert main([*given, "--repeat"]) == 0
    pages = text_of(tmp_path / "out" / "the-cello-s" / "sheets" / "sheets.pdf")
    assert "cherry" in pages[0]
    assert "white oak" not in pages[0]
    assert any(CUT_RULE.split(".")[0] in page for page in pages)


def test_a_proven_seat_is_made_again_on_the_blank_of_another_order(seat_file, tmp_path, capsys) -> None:
    """Its sheets lie in that order's folder, bear its title and speak its unit."""
    order = 'title = "second"\nunits = "in"\n[blank]\nwidth_mm = "19 in"\n[[sitter]]\nbody = "viola"\n'
    order += BOARDS.replace("230", "241.3")
    (tmp_path / "second.toml").write_text(order, encoding="utf-8")
    given = ["sheets", str(seat_file), "--out", str(tmp_path / "out"), "--format", "pdf", "--json"]
    assert main([*given, "--repeat", "--blank", str(tmp_path / "second.toml")]) == 0
    out = json.loads(capsys.readouterr().out)
    assert out["differences"][0] == 'Width: 19", was 18 29/32".'
    (card, *_) = text_of(tmp_path / "out" / "second" / "sheets" / "sheets.pdf")
    assert 'Width: 19", was 18 29/32".' in card
    assert "cherry" in card
    assert "Front edge" in card
    assert main([*given, "--blank", str(tmp_path / "second.toml")]) == 2
    assert "it goes with --repeat" in capsys.readouterr().err
    thin = order.replace("[blank]", '[blank]\nthickness_mm = "1 3/8 in"').replace("second", "thin")
    thin += "[wishes]\ndepth_mm = 14\n"
    (tmp_path / "thin.toml").write_text(thin, encoding="utf-8")
    assert main([*given, "--repeat", "--blank", str(tmp_path / "thin.toml")]) == 2
    assert "deeper than this blank" in capsys.readouterr().err
    assert not (tmp_path / "out" / "thin").exists()


def test_sheets_of_a_seat_file_load_nothing_that_presses_or_shapes() -> None:
    """A command loads what it needs when it needs it; what is loaded is seen in an interpreter of its own."""
    lines = "import sys, seatmesh.cli.commands.sheets_command; print(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", lines], capture_output=True, text=True, check=True)
    loaded = done.stdout.split()
    assert "seatmesh.sheets.all_sheets" in loaded
    presses_or_shapes = ("seatmesh.contact", "seatmesh.fit.search", "seatmesh.design.shape")
    assert not [name for name in loaded if name.startswith(presses_or_shapes)]
