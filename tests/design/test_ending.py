"""How the search for a hollow ended reaches whoever relies on the seat: report, notes, seat file, commands."""

import json

import pytest

from seatmesh import read_order, read_seat, write_seat
from seatmesh.cli import main
from seatmesh.design.preview import preview
from seatmesh.design.report.report_text import report_text
from seatmesh.design.report.seat_report import report
from seatmesh.design.shape import design, shape_seat
from seatmesh.fit.search import descent

ORDER = '[[sitter]]\nbody = "violin-1"\n[wishes]\ndepth_mm = 12\n'
STOPPED = "stopped before it settled"


@pytest.fixture
def order(tmp_path):
    path = tmp_path / "order.toml"
    path.write_text(ORDER, encoding="utf-8")
    return path


@pytest.fixture
def hurried(monkeypatch):
    monkeypatch.setattr(descent, "MOST_STEPS", 2)


def test_a_seat_that_settled_says_so_everywhere(order):
    made = design(read_order(order))
    figures = report(made)
    assert made.seat.ending.converged
    assert figures["ending"]["converged"] is True
    assert figures["ending"]["iterations"] == made.seat.ending.iterations > 3
    assert 0.0 < figures["ending"]["residual"] < descent.TOLERANCE
    assert f"Search         {made.seat.ending.words}" in report_text(made, figures)
    assert not any(STOPPED in note for note in figures["notes"])
    assert preview(read_order(order)).seat.ending.converged


def test_one_that_stopped_is_made_and_says_so_everywhere(order, hurried, tmp_path, capsys):
    made = design(read_order(order))
    figures = report(made)
    assert not made.seat.ending.converged
    assert figures["ending"]["converged"] is False
    assert any(STOPPED in note for note in figures["notes"])
    assert STOPPED in report_text(made, figures)
    write_seat(made.seat, tmp_path / "seat.json")
    assert read_seat(tmp_path / "seat.json").ending == made.seat.ending
    for words in (
        ("sit", order, "--json"),
        ("sit", tmp_path / "seat.json", "--body", "violin-1", "--json"),
        ("adjust", order, "--action", "deepen", "--x-mm", "60", "--y-mm", "150", "--radius-mm", "30",
         "--amount-mm", "1", "--json"),
    ):  # fmt: skip
        assert main([str(one) for one in words]) == 0
        out, err = capsys.readouterr()
        assert STOPPED in err
        assert json.loads(out)
    # Adjusted, it is as sure as before.
    assert not shape_seat(read_order(order)).ending.converged
