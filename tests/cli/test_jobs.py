"""Jobs kept apart, as a maker meets it: two orders of one title, two mock-ups, two papers, and files left alone."""

from __future__ import annotations

import dataclasses
import json

import pytest

from seatmesh import write_seat
from seatmesh.cli import main
from seatmesh.files.whole_or_nothing import write_text

ORDER = """title = "Anna's chair"
[[sitter]]
body = "violin-1"
[wishes]
depth_mm = 0
"""
PART = "anna-s-chair-{}-part-1-mm.stl"


@pytest.fixture
def shop(tmp_path, monkeypatch, carved_seat):
    """Return a folder to work in, with a seat file and its order's."""
    monkeypatch.chdir(tmp_path)
    write_seat(dataclasses.replace(carved_seat, title="Anna's chair"), "anna.json")
    write_seat(dataclasses.replace(carved_seat, title="Anna's chair", front_roll_mm=10.0), "other.json")
    (tmp_path / "anna.toml").write_text(ORDER, encoding="utf-8")
    return tmp_path


def run(capsys, *arguments):
    code = main([str(one) for one in arguments])
    out, err = capsys.readouterr()
    return code, out, err


def names(folder):
    return sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file())


def test_mock_ups_at_two_scales_stand_side_by_side(shop, capsys):
    for scale, size in (("1:8", "1-8"), ("1:10", "1-10")):
        code, out, _ = run(capsys, "mock-up", "anna.json", "--scale", scale, "--json")
        assert code == 0
        folder = f"out/anna-s-chair/mock-up/{size}"
        assert [one["file"] for one in json.loads(out)["parts"]] == [f"{folder}/{PART.format(size)}"]
        assert json.loads(out)["folder"] == "out/anna-s-chair"
    assert names(shop / "out" / "anna-s-chair") == [
        "made-from.json",
        f"mock-up/1-10/{PART.format('1-10')}",
        f"mock-up/1-8/{PART.format('1-8')}",
    ]


def test_parts_cut_for_another_bed_take_the_place_of_the_first(shop, capsys):
    run(capsys, "mock-up", "anna.json", "--scale", "1:10", "--bed-mm", "30x30x30", "--wall-mm", "0.4")
    assert len(names(shop / "out" / "anna-s-chair" / "mock-up" / "1-10")) > 2
    code, _, err = run(capsys, "mock-up", "anna.json", "--scale", "1:10")
    assert code == 0
    assert names(shop / "out" / "anna-s-chair" / "mock-up" / "1-10") == [PART.format("1-10")]
    assert "removed from 'out/anna-s-chair', as this run takes their place without them" in err


@pytest.mark.parametrize(
    "command", [["sheets", "other.json", "--format", "svg"], ["mock-up", "other.json", "--scale", "1:10"]]
)
def test_another_seat_of_the_same_title_is_refused(shop, capsys, command):
    run(capsys, "sheets", "anna.json", "--format", "svg")
    before = {path: path.read_bytes() for path in shop.rglob("*") if path.is_file()}
    code, out, err = run(capsys, *command)
    assert (code, out) == (2, "")
    for words in ("anna.json'", "other.json'", "has the same title, 'Anna's chair'", "--out", "--overwrite"):
        assert words in err
    assert {path: path.read_bytes() for path in shop.rglob("*") if path.is_file()} == before
    assert run(capsys, *command, "--out", "elsewhere")[0] == 0
    code, _, err = run(capsys, *command, "--overwrite")
    assert code == 0
    assert "makes room for what is made from" in err


def test_an_order_is_refused_before_anything_is_shaped(shop, capsys, monkeypatch):
    assert run(capsys, "mock-up", "anna.toml", "--scale", "1:10")[0] == 0
    (shop / "copy.toml").write_text(ORDER.replace("= 0", "= 12"), encoding="utf-8")

    def fail(*_):
        raise AssertionError("shaped all the same")

    monkeypatch.setattr("seatmesh.design.shape.design", fail)
    code, out, err = run(capsys, "shape", "copy.toml")
    assert (code, out) == (2, "")
    assert "anna.toml' for violin 1; the order file" in err
    assert "copy.toml' for violin 1 has the same title, 'Anna's chair'" in err
    (shop / "anna.toml").write_text(ORDER.replace("= 0", "= 12"), encoding="utf-8")
    with pytest.raises(AssertionError, match="shaped all the same"):
        main(["shape", "anna.toml"])


def test_sheets_on_two_papers_and_in_two_units_stand_side_by_side(shop, capsys):
    asked = ["sheets", "anna.json", "--stage", "none"]
    for more in ([], ["--paper", "A3"], ["--units", "in"], ["--paper", "A3"], []):
        code, out, _ = run(capsys, *asked, *more)
        assert code == 0
    assert "sheets.pdf has " in out
    folder = shop / "out" / "anna-s-chair" / "sheets"
    pages = ["sheets-a3-mm.pdf", "sheets-a4-in.pdf", "sheets.pdf"]
    assert names(folder) == sorted([*pages, "sheets-in.dxf", "sheets-in.svg", "sheets.dxf", "sheets.svg"])
    assert len({(folder / page).read_bytes() for page in pages}) == 3


def test_a_seat_in_a_job_s_folder_is_of_that_job(shop, capsys):
    run(capsys, "sheets", "anna.toml", "--format", "svg")
    record = json.loads((shop / "out" / "anna-s-chair" / "made-from.json").read_text())
    assert record["made_from"]["name"] == str(shop / "anna.toml")
    assert record["from_here"] == "../../anna.toml"
    assert [one["path"] for one in record["files"]] == ["sheets/sheets.svg"]


INPUTS = [
    ["sit", "anna.json", "--body", "cello", "--picture", "anna.json"],
    ["gauge", "save", "anna.json", "--to", "./anna.json"],
    ["gauge", "check", "anna.json", "readings.csv", "--map", "link.csv"],
    ["gauge", "copy", "readings.csv", "--to", "readings.csv"],
    ["read", "readings.csv", "--unit", "mm", "--to", "readings.csv"],
    ["read", "readings.csv", "--unit", "mm", "--blank", "anna.toml", "--to", "anna.toml"],
]


@pytest.mark.parametrize("command", INPUTS, ids=" ".join)
def test_what_a_command_reads_is_not_written_over(shop, capsys, command):
    (shop / "readings.csv").write_text("point,x_mm,y_mm,expected_mm,reading_mm\n", encoding="utf-8")
    (shop / "link.csv").symlink_to("readings.csv")
    before = {path: path.read_bytes() for path in shop.iterdir()}
    code, out, err = run(capsys, *command)
    assert (code, out) == (2, "")
    assert "this command reads '" in err
    assert {path: path.read_bytes() for path in shop.iterdir()} == before


def test_a_protected_file_is_not_written_over(shop, capsys):
    (shop / "seat.stl").write_bytes(b"proven")
    (shop / "seat.stl").chmod(0o444)
    code, _, err = run(capsys, "mesh", "anna.json", "--to", "seat.stl", "--tolerance-mm", "2")
    assert code == 2
    assert "seat.stl' cannot be written: it is write-protected" in err
    assert (shop / "seat.stl").read_bytes() == b"proven"


GAUGE = [
    "gauge",
    "sheet",
    "anna.json",
    "--spacing-mm",
    "100",
    "--bar-height-mm",
    "60",
    "--rod-offset-mm",
    "5",
    "--to",
]


def test_a_text_beside_a_gauge_sheet_is_not_lost(shop, capsys):
    (shop / "anna-gauge.txt").write_text("what Anna said")
    code, _, err = run(capsys, *GAUGE, "anna-gauge.csv")
    assert code == 2
    assert "anna-gauge.txt' is no gauge sheet" in err
    assert not (shop / "anna-gauge.csv").exists()
    (shop / "anna-gauge.txt").unlink()
    assert [run(capsys, *GAUGE, "anna-gauge.csv")[0] for _ in range(2)] == [0, 0]


def test_readings_with_one_bad_cell_are_not_lost(shop, capsys):
    run(capsys, *GAUGE, "anna-gauge.csv")
    typed = (shop / "anna-gauge.csv").read_text().replace(",,", ",a guess,", 1)
    (shop / "anna-gauge.csv").write_text(typed)
    code, _, err = run(capsys, *GAUGE, "anna-gauge.csv")
    assert code == 2
    assert "may hold readings, but cannot be read" in err
    assert (shop / "anna-gauge.csv").read_text() == typed


def test_an_order_edited_meanwhile_is_not_lost(shop, capsys, monkeypatch):
    edited = ORDER + "# a thought while it was working\n"

    def slow(order):
        write_text("anna.toml", edited)
        return {"adjustments": [], "notes": []}

    import seatmesh.cli.commands.adjust_command as command

    monkeypatch.setattr(command, "log_report", slow)
    where = ["--x-mm", "60", "--y-mm", "150", "--radius-mm", "40", "--amount-mm", "1"]
    code, _, err = run(capsys, "adjust", "anna.toml", "--action", "deepen", *where)
    assert code == 2
    assert "was changed while its adjustments were worked out" in err
    assert (shop / "anna.toml").read_text() == edited


def test_letters_that_the_output_lacks_are_spelled_out(shop, capsys, carved_seat, monkeypatch):
    import io
    import sys

    write_seat(dataclasses.replace(carved_seat, title="椅"), "chair.json")
    for more in ([], ["--json"]):
        out, err = (io.TextIOWrapper(io.BytesIO(), encoding="cp1252") for _ in range(2))
        monkeypatch.setattr(sys, "stdout", out)
        monkeypatch.setattr(sys, "stderr", err)
        assert main(["sheets", "chair.json", "--format", "svg", *more]) == 0
        out.flush()
        err.flush()
        said = out.buffer.getvalue().decode("cp1252")
        assert "out/\\u6905/sheets" in said
        if more:
            assert json.loads(said)["folder"] == "out/椅/sheets"
        assert "show boxes for them: \\u6905" in err.buffer.getvalue().decode("cp1252")
