"""`seatmesh wood` as a maker meets it: files, words, JSON by its keys, the record, and refusals."""

import json
import tomllib

import numpy as np
import pytest

from seatmesh import read_order, read_seat
from seatmesh.cli import main

ORDER = """title = "Anna's chair"
[blank]
depth_mm = 430
[[sitter]]
body = "anna.toml"
[wishes]
depth_mm = 16
[[board]]
width_mm = 230
species = "hard maple"
rings = "quarter"
[[board]]
species = "cherry"
pith_mm = [20, 95]
bark = "down"
rise_deg = 2
[[joint]]
kind = "back post"
x_mm = 150
y_mm = 25
diameter_mm = 20
depth_mm = 30
side = "both"
[wood]
winter_moisture_percent = 5
plank_width_mm = 260
plank_length_mm = 900
"""
ANNA = 'name = "Anna"\nsex = "female"\nstature_mm = 1640\nmass_kg = 61\n'


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    folder = tmp_path_factory.mktemp("wood")
    (folder / "anna.toml").write_text(ANNA, encoding="utf-8")
    (folder / "order.toml").write_text(ORDER, encoding="utf-8")
    assert main(["wood", str(folder / "order.toml"), "--out", str(folder / "out")]) == 0
    return folder


@pytest.fixture(scope="module")
def figures(made):
    return json.loads((made / "out" / "anna-s-chair" / "wood" / "wood.json").read_text("utf-8"))


def test_the_files(made):
    there = {one.name for one in (made / "out" / "anna-s-chair" / "wood").iterdir()}
    assert there == {
        "figure.png", "figure-variants.png", "floor.png", "movement.png", "way-to-cut.png", "record.toml", "wood.json",
        "wood.txt",
    }  # fmt: skip
    assert not [one for one in (made / "out").iterdir() if one.name.startswith(".")]


def test_the_figures_under_their_keys(figures):
    assert [one["species"] for one in figures["boards"]] == ["hard maple", "cherry"]
    assert figures["glue_lines_mm"] == [-10.0]
    move = figures["movement"]
    assert move["to_percent"] == 5.0
    # W3: maple quarter-sawn 0.00165 over 230 mm; of cherry 0.00248 along and 0.00126 across rings whose pith lies 95 mm
    # below and 20 mm beside the board's middle: the integral of h2 / (h2 + s2) is h atan(s / h).
    flat = 95.0 * (np.arctan(145.0 / 95.0) + np.arctan(105.0 / 95.0))
    cherry = 0.00248 * flat + 0.00126 * (250.0 - flat)
    drop = 5.0 - move["from_percent"]
    assert drop * (0.00165 * 230 + cherry) == pytest.approx(move["width_change_mm"], rel=0.02)
    assert move["extrapolated"]
    assert figures["floor"]["load_n"] == 1300.0
    assert figures["floor"]["least_factor"] > 1.0
    assert "EN 12520" in figures["floor"]["load_source"]
    assert "not a proof" in figures["floor"]["guide"]
    assert not figures["floor"]["legs_given"]
    assert figures["plank"]["at_hand"]["enough"] is False
    assert {one["species"] for one in figures["species"]} >= {"ash", "walnut", "pine"}


def test_what_is_guessed_stands_in_or_lies_outside_is_said(figures):
    notes = "\n".join(figures["notes"])
    assert "tension across the grain is unknown for sugar maple" in notes
    assert "5.0 % moisture lies outside 6 to 14 %" in notes
    assert "extrapolation" in notes
    assert "board 1: not stated, so taken as usual: bark side up" in notes


def test_the_words(made):
    text = (made / "out" / "anna-s-chair" / "wood" / "wood.txt").read_text("utf-8")
    for words in (
        "1  230 mm hard maple, quarter (rings at 90 deg), bark side up",
        "Glue lines     10 mm to the sitter's left",
        "Allow for",
        "Posts along the deck move by up to",
        "A guide, not a proof.",
        "Least factor",
        "Thinnest",
        "it is not enough",
        "Woods for this seat",
        "* hard maple: tension across the grain is unknown",
    ):
        assert words in text, words


def test_the_record_is_an_order_that_stands_alone(made, tmp_path):
    record = made / "out" / "anna-s-chair" / "wood" / "record.toml"
    copy = tmp_path / "next.toml"
    copy.write_bytes(record.read_bytes())
    table = tomllib.loads(copy.read_text("utf-8"))
    assert table["sitter"][0]["body"]["stature_mm"] == 1640
    assert table["built"]["title"] == "Anna's chair"
    assert table["built"]["deepest_mm"] == pytest.approx(16.0, abs=0.5)
    order = read_order(copy)
    assert order.boards == read_order(made / "order.toml").boards


@pytest.mark.slow
def test_gauge_readings_go_into_the_record_for_the_next_seat(made, tmp_path, capsys):
    order, out = str(made / "order.toml"), tmp_path / "out"
    assert main(["shape", order, "--out", str(out)]) == 0
    seat = read_seat(out / "anna-s-chair" / "seat.json")
    sheet = [
        "--spacing-mm",
        "40",
        "--bar-height-mm",
        "60",
        "--rod-offset-mm",
        "0",
        "--to",
        str(tmp_path / "read.csv"),
    ]
    assert main(["gauge", "sheet", str(out / "anna-s-chair" / "seat.json"), *sheet]) == 0
    rows = (tmp_path / "read.csv").read_text("utf-8").splitlines()
    head = rows[0].split(",")
    lines = [rows[0]]
    for row in rows[1:]:
        cells = row.split(",")
        x, y, datum = (float(cells[head.index(name)]) for name in ("x_mm", "y_mm", "datum_mm"))
        depth = float(seat.depth_mm(x, y))
        cells[head.index("reading_mm")] = f"{datum + (depth + 1.0 if depth > 3.0 else depth):.2f}"
        lines.append(",".join(cells))
    (tmp_path / "read.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    assert main(["wood", order, "--out", str(out), "--readings", str(tmp_path / "read.csv")]) == 0
    record = out / "anna-s-chair" / "wood" / "record.toml"
    built = np.array(tomllib.loads(record.read_text("utf-8"))["built"]["readings_mm"])
    deep = built[built[:, 2] > 6.0]
    assert len(deep) > 20
    # Carved a millimetre deeper than drawn.
    assert np.median(deep[:, 2] - seat.depth_mm(deep[:, 0], deep[:, 1])) == pytest.approx(1.0, abs=0.1)
    capsys.readouterr()
    assert main(["shape", str(record), "--out", str(tmp_path / "next"), "--json"]) == 0
    notes = json.loads(capsys.readouterr().out)["notes"]
    assert any(
        "gauged on the seat 'Anna's chair' as it was built" in one and "shallower" in one for one in notes
    )


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ('[[board]]\nrings = "quarter"\npith_mm = 50\n', "[[board]] 1 pith_mm = 50"),
        ('[[board]]\nspecies = "teak"\n', "[[board]] 1 species = 'teak'"),
        ("[[board]]\nwidth_mm = 100\n", "[[board]] 1 width_mm = 100"),
        ("[wood]\nsummer_moisture_percent = 60\n", "summer_moisture_percent = 60"),
        ("[wood]\nsummer_moisture = 8\n", "did you mean 'summer_moisture_percent'"),
    ],
)
def test_bad_orders_are_refused_by_key_and_leave_nothing(more, words, tmp_path, capsys):
    (tmp_path / "order.toml").write_text('[[sitter]]\nbody = "viola"\n' + more, encoding="utf-8")
    assert main(["wood", str(tmp_path / "order.toml"), "--out", str(tmp_path / "out")]) == 2
    said = capsys.readouterr()
    assert words in said.err
    assert said.out == ""
    assert not (tmp_path / "out").exists()


def test_a_wood_of_own_values_without_strengths_is_studied_all_but_its_floor(tmp_path, capsys):
    (tmp_path / "order.toml").write_text(
        '[[sitter]]\nbody = "viola"\n[[board]]\nspecies = "teak"\ndensity_kg_m3 = 655\nradial_per_percent = 0.00101\n'
        "tangential_per_percent = 0.00186\n",
        encoding="utf-8",
    )
    assert main(["wood", str(tmp_path / "order.toml"), "--out", str(tmp_path / "out"), "--json"]) == 0
    figures = json.loads(capsys.readouterr().out)
    assert figures["floor"]["least_factor"] is None
    assert "bending_mpa, stiffness_gpa, across_mpa" in figures["floor"]["note"]
    assert figures["movement"]["width_change_mm"] < 0.0
    assert "floor.png" not in figures["files"]
    assert figures["species"][0]["own"]
