"""What is left of a balance, by statics of a single force; and tissue that is stiffer by a share."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from seatmesh.body.figure.anatomy import anatomy_of
from seatmesh.body.survey.estimate import estimate_body
from seatmesh.seating.figures_in_words import _balance_error
from seatmesh.seating.place import Lie, marks_of
from seatmesh.seating.sureness.unmeasured import STIFFNESS, _moved


@pytest.mark.parametrize(
    ("force", "at", "error"),
    [
        (500.0, (7.0, 160.0), 0.0),
        (450.0, (7.0, 160.0), 0.1),
        (500.0, (32.0, 150.0), 0.25),
        (500.0, (2.0, 200.0), 0.4),
    ],
)
def test_a_force_beside_its_load_leaves_a_moment_over_100_mm(force, at, error):
    """A load of 500 N at 7 and 160 mm; each way counts, and the greatest is told."""
    sitter = SimpleNamespace(cells_mm=(np.array([-50.0, at[0]]), np.array([90.0, at[1]])))
    pose = SimpleNamespace(load=SimpleNamespace(force_n=500.0, x_mm=7.0, y_mm=160.0))
    assert _balance_error(sitter, np.array([0.0, force]), pose) == pytest.approx(error)


@pytest.mark.parametrize("percent", [20.0, -20.0])
def test_stiffer_flesh_presses_that_much_harder(percent):
    _, stiffness = _moved(estimate_body("male", 1760.0, 78.0), SimpleNamespace(name=STIFFNESS), percent)
    assert stiffness == pytest.approx(1.0 + percent / 100.0)


def test_a_turned_sitters_marks_lie_where_complex_numbers_turn_them():
    """A turn moves the front to the sitter's right: what lies 1 mm ahead goes right by the sine, on either side."""
    lie = Lie(anatomy_of(estimate_body("male", 1760.0, 78.0)), 20.0, -70.0, (12.0, 160.0), (0.14, 0.19))
    turned = marks_of(replace(lie, turn=0.3))
    for key, points in marks_of(lie).items():
        for (x, y), other in zip(points, turned[key], strict=True):
            at = ((x - 12.0) + 1j * (y - 160.0)) * np.exp(-0.3j)
            assert other == pytest.approx((12.0 + at.real, 160.0 + at.imag))
