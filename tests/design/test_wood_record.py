"""The record of a seat opens from any folder, and makes the same blank there."""

from dataclasses import replace

import numpy as np
import pytest
import shapely

from seatmesh import InputError, read_order
from seatmesh.design.orders.order import order_from_table
from seatmesh.design.wood.wood_record import order_table, record_text

SITTER = '[[sitter]]\nbody = "cello"\n'
FIGURES = {"title": "chair", "mass_kg": 3.0, "floor": {"least_factor": 4.0}}
BUILT = {"deepest_mm": 16.0, "readings_mm": []}


def there_and_back(folder, text):
    """Return an order, and the one that its record makes in a folder of its own."""
    (folder / "chair.toml").write_text(text + SITTER, encoding="utf-8")
    order = read_order(folder / "chair.toml")
    away = folder / "far" / "away"
    away.mkdir(parents=True)
    record = record_text(order_table(order, folder / "chair.toml"), FIGURES, BUILT)
    (away / "next.toml").write_text(record, encoding="utf-8")
    return order, read_order(away / "next.toml"), record


@pytest.mark.parametrize(
    "path",
    [
        "M 0 0 L 480 0 L 450 430 L 30 430 Z",
        "M 40 0 H 440 Q 480 0 480 40 C 480 200 470 300 440 400 Q 430 430 400 430 H 80 Q 50 430 40 400 "
        "C 10 300 0 200 0 40 Q 0 0 40 0 Z",
    ],
)
def test_a_drawn_outline_goes_into_the_record_to_the_last_digit(tmp_path, path):
    (tmp_path / "own.svg").write_text(f'<svg xmlns="http://www.w3.org/2000/svg"><path d="{path}"/></svg>')
    order, again, record = there_and_back(
        tmp_path, '[blank]\noutline_file = "own.svg"\noutline_units = "mm"\n'
    )
    assert again.blank == order.blank
    assert "outline_file" not in record
    assert "outline_units" not in record
    # The drawing is changed for another chair: the record keeps the old seat's outline.
    (tmp_path / "own.svg").unlink()
    assert read_order(tmp_path / "far" / "away" / "next.toml").blank == order.blank


def test_more_points_than_an_order_takes_are_thinned_within_hundredths_of_a_millimetre(tmp_path):
    turns = np.linspace(0.0, 2.0 * np.pi, 4800, endpoint=False)
    path = "M " + " L ".join(f"{230 * np.cos(t):.6f} {230 + 230 * np.sin(t):.6f}" for t in turns) + " Z"
    (tmp_path / "own.svg").write_text(f'<svg xmlns="http://www.w3.org/2000/svg"><path d="{path}"/></svg>')
    order, again, _ = there_and_back(tmp_path, '[blank]\noutline_file = "own.svg"\n')
    assert len(order.blank.own_outline_mm) > 2000
    one, other = (shapely.LinearRing(each.blank.polygon_mm()) for each in (order, again))
    assert shapely.hausdorff_distance(one, other) < 0.02
    assert replace(again.blank, own_outline_mm=order.blank.own_outline_mm) == replace(
        order.blank, width_mm=again.blank.width_mm, depth_mm=again.blank.depth_mm
    )


def test_straight_lines_between_points_are_told_from_a_curve():
    corners = [[0, 0], [240, 0], [200, 430], [0, 430]]

    def blank(**more):
        return order_from_table(
            {"sitter": [{"body": "cello"}], "blank": {"outline_points_mm": corners, **more}}, "order", "seat"
        ).blank

    straight = blank(outline_between="straight lines")
    # A trapezium: half of 480 + 400 mm, by 430.
    assert shapely.Polygon(straight.polygon_mm()).area == pytest.approx(0.5 * (480 + 400) * 430, rel=1e-9)
    assert len(straight.own_outline_mm) == 4
    with pytest.raises(InputError, match="what joins outline_points_mm, and none are given"):
        order_from_table(
            {"sitter": [{"body": "cello"}], "blank": {"outline_between": "straight lines"}}, "order", "seat"
        )
    with pytest.raises(InputError, match="straight lines"):
        blank(outline_between="straight")
