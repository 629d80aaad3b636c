"""The commands of a fitting: adjust an order, take marks off a photograph, list the keys."""

import json
import re
import tomllib

import numpy as np
import pytest

from seatmesh import read_order, read_seat, shape_seat, write_seat
from seatmesh.cli import main

ORDER = """# a chair
title = "fitted"
stages = [0.5]
[blank]
width_mm = 460
[[sitter]]
body = "violin-1"
[wishes]
depth_mm = 12
"""
DEEPEN = ("--action", "deepen", "--x-mm", "62", "--y-mm", "143", "--radius-mm", "35", "--amount-mm", "2")


def run(capsys, *arguments):
    code = main([str(one) for one in arguments])
    out, err = capsys.readouterr()
    return code, out, err


@pytest.fixture
def order(tmp_path):
    path = tmp_path / "fitted.toml"
    path.write_text(ORDER, encoding="utf-8")
    return path


def test_an_adjustment_is_added_told_and_taken_back_to_the_byte(order, capsys, tmp_path):
    before = order.read_bytes()
    write_seat(shape_seat(read_order(order)), tmp_path / "before.json")
    code, out, _ = run(
        capsys, "adjust", order, *DEEPEN, "--why", "hard there", "--date", "2026-05-31", "--json"
    )
    (row,) = json.loads(out)["adjustments"]
    assert code == 0
    assert order.read_bytes().startswith(before)
    assert (row["date"], row["action"], row["side"], row["why"]) == (
        "2026-05-31",
        "deepen",
        "both",
        "hard there",
    )
    (peak,) = row["peaks"]
    assert peak["after_kpa"] < peak["before_kpa"]
    # The seat of the order has it, at its centre by the whole amount.
    seat = shape_seat(read_order(order))
    bare = read_seat(tmp_path / "before.json")
    assert seat.depth_mm(62.0, 143.0) - bare.depth_mm(62.0, 143.0) == pytest.approx(2.0)
    assert seat.depth_mm(-62.0, 143.0) - bare.depth_mm(-62.0, 143.0) == pytest.approx(2.0)
    code, out, _ = run(capsys, "adjust", order, "--undo")
    assert code == 0
    assert "no adjustments" in out
    assert order.read_bytes() == before
    write_seat(shape_seat(read_order(order)), tmp_path / "after.json")
    assert (tmp_path / "after.json").read_bytes() == (tmp_path / "before.json").read_bytes()


def test_a_locked_one_is_not_taken_back(order, capsys):
    run(capsys, "adjust", order, *DEEPEN, "--date", "2026-05-31")
    assert run(capsys, "adjust", order, "--lock", 1)[0] == 0
    locked = order.read_bytes()
    code, _, err = run(capsys, "adjust", order, "--undo")
    assert code == 2
    assert "all are locked" in err
    assert order.read_bytes() == locked
    assert run(capsys, "adjust", order, "--unlock", 1)[0] == 0
    assert run(capsys, "adjust", order, "--undo")[0] == 0


@pytest.mark.parametrize(
    ("arguments", "word"),
    [
        (["--action", "deepen"], "--x-mm"),
        ([*DEEPEN, "--undo"], "one change at a time"),
        (["--undo"], "the order has none"),
        (["--lock", "1"], "the order has none"),
        ([*DEEPEN[:-1], "30"], "at most 20"),
        ([*DEEPEN, "--side", "rigth"], "right"),
        ([*DEEPEN[:3], "-60", *DEEPEN[4:], "--side", "right"], "60 mm to the sitter's left"),
        ([*DEEPEN[:3], "+60", *DEEPEN[4:], "--side", "left"], "60 mm to the sitter's right"),
        ([*DEEPEN, "--side", "middle"], "lies on the centre line"),
        ([*DEEPEN, "--date", "31.5.2026"], "2026-05-31"),
        ([*DEEPEN[:5], "20", "--radius-mm", "20", "--amount-mm", "1"], "deck"),
        ([*DEEPEN[:3], "400", *DEEPEN[4:]], "outside the blank"),
    ],
)
def test_a_refused_adjustment_leaves_the_order_alone(order, capsys, arguments, word):
    before = order.read_bytes()
    code, out, err = run(capsys, "adjust", order, *arguments)
    assert code == 2
    assert out == ""
    assert word in err
    assert err.count("\n") == 1
    assert order.read_bytes() == before
    assert len(list(order.parent.iterdir())) == 1


def test_shape_reports_adjustments_stages_tools_and_marks(order, capsys, tmp_path):
    look = """[[tool]]
name = "travisher"
radius_mm = 150
[[mark]]
name = "hip end"
side = "right"
x_mm = 215
y_mm = 143
[[adjustment]]
action = "raise"
x_mm = 62
y_mm = 143
radius_mm = 45
amount_mm = 4
tag = "look"
"""
    order.write_text(ORDER + look, encoding="utf-8")
    code, out, _ = run(capsys, "shape", order, "--out", tmp_path / "out", "--json")
    report = json.loads(out)
    folder = tmp_path / "out" / "fitted"
    assert code == 0
    assert {"light-lines.png", "seat-stage-50.json", "depths-stage-50.csv"} <= set(report["files"])
    finished, half = read_seat(folder / "seat.json"), read_seat(folder / "seat-stage-50.json")
    assert half.depth_mm(80.0, 200.0) == pytest.approx(0.5 * finished.depth_mm(80.0, 200.0))
    # The raised middle is no longer the deepest place, and depth table and report know.
    x, y = report["hollow"]["deepest_x_mm"], report["hollow"]["deepest_y_mm"]
    assert finished.depth_mm(x, y) == pytest.approx(report["hollow"]["deepest_mm"], abs=1e-3)
    table = np.loadtxt(folder / "depths.csv", delimiter=",", skiprows=1)
    ahead = table[:, 1] < finished.blank.depth_mm - finished.front_roll_mm
    assert table[ahead, 2].max() <= report["hollow"]["deepest_mm"] + 0.006
    sitter = report["sitters"][0]
    assert sitter["peak_adjusted_kpa"] > 1.1 * sitter["peak_best_kpa"]
    assert sitter["best"]["peak_kpa"] == sitter["peak_adjusted_kpa"]
    assert report["reach"]["tools"][0]["share_reached"] < 1.0
    assert sitter["marks"]["count"] == 1
    words = (folder / "report.txt").read_text()
    assert "this look costs comfort" in words
    assert "recheck the tape from the centre line" in " ".join(words.split())
    assert "travisher (radius 150 mm): reaches" in words


def camera(x, y):
    """A pinhole camera, tilted: pixel of a place on the blank, from above."""
    depth = 900.0 + 0.2 * y
    return [2000.0 + 3000.0 * x / depth, 1500.0 - 3000.0 * (y - 215.0) / depth]


def photograph(path, marks, **more):
    lines = [f"{key} = {value}" for key, value in more.items()]
    corners = [(-235, 5), (235, 5), (235, 425), (-235, 425)]
    checks = [(-120, 100), (130, 90), (110, 330), (-100, 340)]
    for kind, points in (("corner", corners), ("check", checks)):
        for x, y in points:
            lines += [f"[[{kind}]]", f"pixel = {camera(x, y)}", f"x_mm = {x}", f"y_mm = {y}"]
    for side, x, y in marks:
        lines += ["[[mark]]", 'name = "sit bone"', f'side = "{side}"', f"pixel = {camera(x, y)}"]
    path.write_text("\n".join(lines), encoding="utf-8")
    return path


def test_marks_of_a_photograph_go_straight_into_the_order(order, capsys, tmp_path):
    order.write_text(ORDER.replace("width_mm = 460", 'width_mm = 480\noutline = "straight-sided"'))
    photo = photograph(tmp_path / "photo.toml", [("left", -57.0, 152.0), ("right", 63.0, 149.0)])
    code, out, err = run(capsys, "marks", photo, "--blank", order)
    assert code == 0
    assert "4 check points: off by 0.00 mm" in out
    assert err == ""
    tables = tomllib.loads(out)["mark"]
    assert [(one["side"], one["x_mm"], one["y_mm"]) for one in tables] == [
        ("left", 57.0, 152.0),
        ("right", 63.0, 149.0),
    ]
    order.write_text(order.read_text() + out)
    assert read_order(order).sitters[0].body.habit.across_mm == pytest.approx(3.0, abs=0.8)
    code, out, _ = run(capsys, "marks", photo, "--blank", order, "--json")
    facts = json.loads(out)
    assert len(facts["check_points"]) == 4
    assert facts["check_worst_mm"] < 1e-3


def test_a_mark_seen_on_the_other_side_than_it_is_called_is_refused(order, capsys, tmp_path):
    photo = photograph(tmp_path / "photo.toml", [("left", 57.0, 152.0), ("right", 63.0, 149.0)])
    code, out, err = run(capsys, "marks", photo, "--blank", order)
    assert (code, out) == (2, "")
    assert "'sit bone' left x_mm = 57: its sign puts it 57 mm to the sitter's right" in err
    assert "write side = 'right' if the sign is right" in err
    # Within its own error of the centre line a mark contradicts nothing.
    photo = photograph(tmp_path / "photo.toml", [("left", 2.0, 152.0), ("right", 63.0, 149.0)])
    code, out, _ = run(capsys, "marks", photo, "--blank", order, "--json")
    assert (code, json.loads(out)["marks"][0]["x_mm"]) == (0, 0.0)


def test_the_lens_is_found_where_the_size_of_the_picture_is_known(order, capsys, tmp_path):
    order.write_text(ORDER.replace("width_mm = 460", 'width_mm = 480\noutline = "straight-sided"'))
    marks = [("left", -57.0, 152.0), ("right", 63.0, 149.0)]
    photo = photograph(tmp_path / "photo.toml", marks, image_size_px="[4000, 3000]")
    code, out, _ = run(capsys, "marks", photo, "--blank", order)
    assert code == 0
    assert out.startswith("# 8 points, each off where all others put it by 0.0")
    assert out.count("sure: within") == 2
    tables = tomllib.loads(out)["mark"]
    assert [(one["x_mm"], one["y_mm"]) for one in tables] == [(57.0, 152.0), (63.0, 149.0)]
    order.write_text(order.read_text() + out)
    assert read_order(order).sitters[0].body.habit.across_mm == pytest.approx(3.0, abs=0.8)
    code, out, _ = run(capsys, "marks", photo, "--blank", order, "--json")
    assert set(json.loads(out)) >= {"marks", "points", "rms_mm", "lens_told", "doubts"}
    photo.write_text(photo.read_text().replace("image_size_px = [4000, 3000]", "lens = true"))
    code, out, err = run(capsys, "marks", photo, "--blank", order)
    assert (code, out) == (2, "")
    assert "image_size_px" in err


def test_left_is_a_minus_typed_with_a_space(order, capsys):
    typed = [*DEEPEN[:3], "-60", *DEEPEN[4:]]
    code, out, _ = run(capsys, "adjust", order, *typed, "--side", "left", "--json")
    assert code == 0
    (row,) = json.loads(out)["adjustments"]
    assert (row["x_mm"], row["side"]) == (-60.0, "left")


@pytest.mark.parametrize(
    ("change", "word"),
    [
        (("[[corner]]", "[[corners]]"), "did you mean 'corner'"),
        (("pixel", "pixels"), "pixel"),
        (('"sit bone"', '"sit bones"'), "did you mean 'sit bone'"),
        (('side = "left"', ""), "'side' is missing"),
        (("x_mm = -120", ""), "'x_mm' is missing"),
        (("x_mm = -120", "x_mm = -119\nx = 3"), "unknown key 'x'"),
    ],
)
def test_a_photograph_file_is_refused_in_words(order, capsys, tmp_path, change, word):
    photo = photograph(tmp_path / "photo.toml", [("left", -57.0, 152.0)])
    photo.write_text(photo.read_text().replace(*change, 1))
    code, out, err = run(capsys, "marks", photo, "--blank", order)
    assert (code, out) == (2, "")
    assert word in err


def test_a_mark_beside_the_blank_and_a_lens_without_a_size(order, capsys, tmp_path):
    photo = photograph(tmp_path / "photo.toml", [("left", -300.0, 152.0)])
    code, _, err = run(capsys, "marks", photo, "--blank", order)
    assert code == 2
    assert "outside the blank" in err
    photo = photograph(tmp_path / "photo.toml", [("left", -57.0, 152.0)], lens="true")
    code, _, err = run(capsys, "marks", photo, "--blank", order)
    assert code == 2
    assert "of the whole picture in pixels" in err


def test_keys_are_listed(capsys):
    code, out, _ = run(capsys, "keys")
    assert code == 0
    assert re.search(r"pommel_mm +greatest height .*\(0 to 40 mm; default 8\)", " ".join(out.split()))
    _, out, _ = run(capsys, "keys", "--json")
    told = {(one["table"], one["key"]): one for one in json.loads(out)["keys"]}
    depth = told["[wishes]", "depth_mm"]
    assert (depth["lowest"], depth["highest"], depth["unit"], depth["default"]) == (0.0, 60.0, "mm", "18")
    assert {"table", "key", "allowed", "default", "meaning"} <= set(told["", "blank"])
