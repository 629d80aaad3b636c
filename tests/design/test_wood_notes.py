"""Notes about the wood: glue lines under places that matter, and what they hold."""

from dataclasses import replace

import numpy as np
import pytest

from seatmesh.design.wood_notes import pommel_mm, wood_notes
from seatmesh.fit.hollow import deepest
from seatmesh.surface import flat_seat


def with_blank(seat, **fields):
    return replace(seat, blank=replace(seat.blank, **fields))


def _moved(seat):
    """Coefficients of a hollow with its deepest places on either side of the centre line."""
    c = seat.hollow.coefficients
    across = np.linspace(-240.0, 240.0, len(c))
    return c - 3.0 * np.exp(-((across / 40.0) ** 2))[:, None]


def test_glue_lines_under_pommel_and_deepest_point(carved_seat):
    assert pommel_mm(carved_seat) > 4.0
    assert any("under the pommel" in note for note in wood_notes(with_blank(carved_seat, boards=2)))
    assert wood_notes(with_blank(carved_seat, glue_lines_mm=(-100.0, 100.0))) == []
    aside = replace(carved_seat, hollow=replace(carved_seat.hollow, coefficients=_moved(carved_seat)))
    x = deepest(aside.hollow)[0]
    assert x > 20.0
    notes = wood_notes(with_blank(aside, glue_lines_mm=(-x - 4.0, x + 60.0)))
    assert len(notes) == 1
    assert "left lies under the deepest point" in notes[0]
    assert wood_notes(flat_seat()) == []


@pytest.mark.parametrize(("depth", "word"), [(30.0, None), (22.0, "leaves"), (15.0, "cuts into")])
def test_a_tongue_too_near_the_surface(carved_seat, depth, word):
    seat = with_blank(
        carved_seat,
        glue_lines_mm=(-100.0, 100.0),
        glue_joint="loose tongue",
        glue_joint_depth_mm=depth,
        glue_joint_thickness_mm=6.0,
    )
    notes = wood_notes(seat)
    if word is None:
        assert notes == []
        return
    assert len(notes) == 2
    assert word in notes[0]
    if word == "leaves":
        y = np.arange(0.0, 430.0, 2.0)
        left = depth - 3.0 - seat.depth_mm(np.array([[-112.0], [-100.0], [-88.0]]), y).max()
        assert f"leaves {left:.1f}".rstrip("0").rstrip(".") in notes[0]
