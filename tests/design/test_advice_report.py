"""Advice in the words of an adjustment: what `sit` promises, `adjust` says of the pasted line, to the digit."""

import json
import shlex

import pytest

from seatmesh import estimate_body, flat_seat
from seatmesh.adjustment import Adjustment
from seatmesh.cli import main
from seatmesh.design import study
from seatmesh.design.log.fitting_log import asked_of, effects
from seatmesh.design.log.log_report import action_words, log_lines, peak_words
from seatmesh.design.orders.keys.adjustment import ADJUSTMENTS
from seatmesh.design.report import advice_report
from seatmesh.design.report.advice_report import adjust_line, spot_lines, spots_report
from seatmesh.design.report.plain import SOME_ORDER
from seatmesh.errors import NotSolvedError
from seatmesh.seating.hot_spots.in_words import HotSpot
from seatmesh.seating.sit import press
from seatmesh.seating.sitter import lay_over

POOR = "[wishes]\ndepth_mm = 8\ncloseness = 0\npommel_mm = 2\n"
LEFT_ALONE = """[[adjustment]]
action = "raise"
x_mm = 60
y_mm = 150
radius_mm = 40
amount_mm = 2
side = "left"
"""
RIGHT_ALONE = LEFT_ALONE.replace("left", "right").replace("150", "260")
ORDERS = {
    "one": f'[[sitter]]\nbody = "violin-1"\n{POOR}',
    "inches": f'units = "in"\n[[sitter]]\nbody = "viola"\n[blank]\nthickness_mm = 48\n{POOR}',
    "shared": f'[[sitter]]\nbody = "cello"\n[[sitter]]\nbody = "violin-2"\nweight = 2\n{POOR}',
    "adjusted": f'[[sitter]]\nbody = "woman-p50"\n{POOR}{LEFT_ALONE}',
    "inches adjusted": f'units = "in"\n[[sitter]]\nbody = "man-p50"\n[[sitter]]\nbody = "woman-p95"\n{POOR}'
    + LEFT_ALONE,
    "two adjustments": f'[[sitter]]\nbody = "man-p95"\n{POOR}{LEFT_ALONE}{RIGHT_ALONE}',
}


def run(capsys, *arguments):
    code = main([str(one) for one in arguments])
    out, err = capsys.readouterr()
    assert code == 0, err
    return out


@pytest.fixture(autouse=True)
def without_intervals(monkeypatch):
    """Intervals take most of the time and are no part of this."""

    def none(*_, **__):
        raise NotSolvedError("left out of this test")

    monkeypatch.setattr(study, "uncertainty_of", none)


def promised_and_done(name, capsys, folder):
    """Yield, for each advice on an order, the words of `sit` and what `adjust` prints for its line, pasted."""
    order = folder / f"{name}'s order.toml"
    order.write_text(ORDERS[name], encoding="utf-8")
    said = run(capsys, "sit", order)
    sittings = json.loads(run(capsys, "sit", order, "--json"))["sittings"]
    seen = set()
    for sitting in sittings:
        for spot in sitting["hot_spots"]:
            line = spot["adjust_line"]
            if line is None or line in seen:
                continue
            seen.add(line)
            assert line in said, "the command stands in one piece"
            words = shlex.split(line)
            assert words[:3] == ["seatmesh", "adjust", str(order)]
            order.write_text(ORDERS[name], encoding="utf-8")
            yield sitting, spot, " ".join(said.split()), " ".join(run(capsys, *words[1:]).split())
    order.write_text(ORDERS[name], encoding="utf-8")


def check(sitting, spot, said, done):
    names = [peak["body"] for peak in spot["advice_peaks"]]
    own = next(peak for peak in spot["advice_peaks"] if peak["body"] == sitting["body"])
    assert own["before_kpa"] == pytest.approx(sitting["peak_kpa"], rel=1e-5)
    assert own["after_kpa"] == spot["advice_peak_kpa"]
    assert own["here_after_kpa"] < own["here_before_kpa"] <= own["before_kpa"] + 1e-9
    # The same words, in both, for the cut and for every sitter.
    for words in (spot["advice"], *map(peak_words, spot["advice_peaks"])):
        assert words in said
        assert words in done, (words, done)
    assert done.count(": peak") % len(names) == 0


@pytest.mark.parametrize("name", ["shared"])
def test_what_sit_promises_adjust_says_of_the_pasted_line(name, capsys, tmp_path):
    count = 0
    for one in promised_and_done(name, capsys, tmp_path):
        check(*one)
        count += 1
    assert count >= 2


@pytest.mark.slow
def test_a_dozen_promises_over_several_orders(capsys, tmp_path):
    sides = []
    for name in ORDERS:
        for one in promised_and_done(name, capsys, tmp_path):
            check(*one)
            sides.append(one[1]["adjust"]["side"])
    assert len(sides) >= 12
    assert {"both", "left", "right"} <= set(sides)


def test_a_seat_file_has_no_order_and_the_flat_takes_no_adjustment(capsys, tmp_path):
    order = tmp_path / "one.toml"
    order.write_text(ORDERS["one"], encoding="utf-8")
    flat = run(capsys, "sit", order, "--flat")
    assert "deepen" in flat or "ease" in flat
    assert "seatmesh adjust" not in flat
    from seatmesh import read_order, shape_seat, write_seat

    write_seat(shape_seat(read_order(order)), tmp_path / "seat.json")
    said = run(capsys, "sit", tmp_path / "seat.json", "--body", "violin-1")
    assert f"seatmesh adjust {SOME_ORDER} --action" in said
    assert f"{SOME_ORDER} stands for the order file" in said


def test_another_posture_is_told_apart_from_what_adjust_says(capsys, tmp_path):
    order = tmp_path / "one.toml"
    order.write_text(ORDERS["one"], encoding="utf-8")
    said = " ".join(run(capsys, "sit", order, "--posture", "slouched", "--load-n", "450").split())
    sitting = json.loads(run(capsys, "sit", order, "--posture", "slouched", "--load-n", "450", "--json"))[
        "sittings"
    ][0]
    spot = next(one for one in sitting["hot_spots"] if one["advice"])
    assert f"slouched, under 450 N, {spot['advice_spot_kpa']:.1f} kPa stay here" in said
    assert "that is upright, under the sitter's own load" in said
    assert spot["advice_peaks"][0]["before_kpa"] != pytest.approx(sitting["peak_kpa"], rel=0.01)


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("side", ["left", "right", "middle", "both"])
def test_the_line_says_the_adjustment_to_the_bit(units, side):
    step = 25.4 / 16.0 if units == "in" else 1.0
    x = {"left": -37.0, "right": 37.0, "middle": 0.0, "both": 37.0}[side] * step
    entry = {
        "action": "deepen", "x_mm": x, "y_mm": 131.0 * step, "radius_mm": 35.0 * step, "amount_mm": 2.0 * step,
        "side": side, "why": "it's \"hard\"; rm -rf $HOME `here`",
    }  # fmt: skip
    words = shlex.split(adjust_line(entry, units, "my order's.toml"))
    assert words[:3] == ["seatmesh", "adjust", "my order's.toml"]
    from seatmesh.cli.commands.adjust_command import _entry
    from seatmesh.cli.parser import build_parser

    options = vars(build_parser().parse_args(words[1:]))
    given = {key: options[key] for key in (*entry,) if options[key] is not None}
    (read,) = ADJUSTMENTS.read_all([_entry(given)], "order")
    expected = Adjustment(x, 131.0 * step, 35.0 * step, 2.0 * step, "both" if side == "both" else "one")
    for name in ("x_mm", "y_mm", "radius_mm", "amount_mm"):
        assert getattr(read.change, name) == pytest.approx(getattr(expected, name), abs=1e-9)
    assert (read.change.side, read.where, read.why) == (expected.side, side, entry["why"])
    assert asked_of(read)["side"] == side


def test_figures_inside_the_circle_are_its_own():
    seat = flat_seat()
    sitter = lay_over(estimate_body("male", 1760.0, 78.0), seat)
    table = {"action": "deepen", "x_mm": 62, "y_mm": 150, "radius_mm": 30, "amount_mm": 2, "side": "right"}
    (row,) = effects(seat, ADJUSTMENTS.read_all([table], "order"), [sitter])
    (peak,) = row["peaks"]
    # On the flat both sit bones press alike; the cut is under one of them, the other keeps the seat's peak.
    assert peak["here_before_kpa"] == pytest.approx(peak["before_kpa"], rel=1e-6)
    assert peak["here_after_kpa"] < 0.9 * peak["after_kpa"]
    assert peak["before_kpa"] == pytest.approx(press(sitter, seat).figures.peak_kpa, rel=1e-9)
    lines = log_lines([row], "mm")
    assert lines[0].strip() == f"1  {action_words(row, 'mm')}"
    assert lines[-1].strip() == peak_words(peak)


def test_a_cut_that_leaves_another_sitter_without_balance_is_withheld(monkeypatch):
    seat = flat_seat()
    sitter = lay_over(estimate_body("male", 1760.0, 78.0), seat)
    sitting = press(sitter, seat)

    def no_balance(*_):
        raise NotSolvedError("cello on 'flat seat': topples")

    spot = HotSpot(62.0, 150.0, 30.0, 8.0, "sit bone", Adjustment(62.0, 150.0, 30.0, 2.0), 25.0)
    monkeypatch.setattr(advice_report, "effects", no_balance)
    monkeypatch.setattr(advice_report, "find_hot_spots", lambda *_: (spot,))
    (row,) = spots_report(sitter, seat, sitting)
    assert row["advice"] is None
    assert "cello on 'flat seat': topples" in row["withheld"]
    assert "topples" in "\n".join(spot_lines("viola", [row], "mm", "o.toml"))
