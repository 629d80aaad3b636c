"""Outlines of a maker's own: how near ends and points may lie, how large a seat may be; both sides of each limit."""

import numpy as np
import pytest

from seatmesh.errors import FileRefusedError, ValueRefusedError
from seatmesh.wood.outline import from_drawing, from_points
from seatmesh.wood.outline.from_points import smooth_outline


@pytest.mark.parametrize(("gap", "joined"), [(0.098, True), (0.102, False)])
def test_ends_of_pieces_within_a_tenth_of_a_millimetre_are_one_point(gap, joined):
    corners = np.array([[0.0, 0.0], [400.0, 0.0], [400.0, 400.0], [0.0, 400.0]])
    pieces = [corners[:3], np.vstack([corners[2] + [0.0, gap], corners[3], corners[0]])]
    if joined:
        assert len(from_drawing._one_ring(pieces, "file")) == 4
    else:
        with pytest.raises(FileRefusedError, match="is open"):
            from_drawing._one_ring(pieces, "file")


def test_a_closed_chain_has_three_corners_and_ends_where_it_began():
    three = np.array([[0.0, 0.0], [400.0, 0.0], [400.0, 400.0], [0.0, 0.0]])
    assert from_drawing._closed(three)
    assert not from_drawing._closed(three[[0, 1, 0]])
    assert not from_drawing._closed(three[:3])


@pytest.mark.parametrize(("apart", "distinct"), [(0.098, False), (0.102, True)])
def test_points_are_a_tenth_of_a_millimetre_apart(apart, distinct):
    points = np.array([[0.0, 0.0], [200.0, 50.0], [200.0, 50.0 + apart], [0.0, 400.0]])
    if distinct:
        assert len(from_points._distinct(points, "outline")) == 4
    else:
        with pytest.raises(ValueRefusedError, match="twice in a row"):
            from_points._distinct(points, "outline")


def test_three_points_make_an_outline_and_two_do_not():
    points = np.array([[0.0, 0.0], [200.0, 200.0], [0.0, 400.0]])
    assert len(from_points._distinct(points, "outline")) == 3
    with pytest.raises(ValueRefusedError, match="allowed are 3 to 2000 points"):
        from_points._distinct(points[:2], "outline")


def oval(width, depth):
    turn = np.linspace(-0.5 * np.pi, 0.5 * np.pi, 40)
    return np.column_stack([0.5 * width * np.cos(turn), 0.5 * depth * (1.0 + np.sin(turn))]).round(6)


@pytest.mark.parametrize(
    ("width", "depth", "allowed"),
    [
        (202.0, 400.0, True), (198.0, 400.0, False), (898.0, 400.0, True), (902.0, 400.0, False),
        (400.0, 202.0, True), (400.0, 198.0, False), (400.0, 698.0, True), (400.0, 702.0, False),
    ],
)  # fmt: skip
def test_a_seat_is_200_to_900_mm_wide_and_200_to_700_mm_deep(width, depth, allowed):
    if allowed:
        assert len(smooth_outline(oval(width, depth).tolist(), "outline")) > 40
    else:
        with pytest.raises(ValueRefusedError):
            smooth_outline(oval(width, depth).tolist(), "outline")


def test_the_curve_through_points_has_a_chord_of_2_mm_at_most_and_no_more_than_that_takes():
    """Chords between typed points are cut into pieces 2 mm long of what an arc over them may be, 1.3 times as long."""
    corner = np.array([[0.0, 0.0], [200.0, 0.0], [200.0, 400.0], [0.0, 400.0]])
    ring = from_points._closed_spline(np.vstack([corner, [[-200.0, 400.0], [-200.0, 0.0]]]))
    assert len(ring) == 4 * int(np.ceil(1.3 * 200.0 / 2.0)) + 2 * int(np.ceil(1.3 * 400.0 / 2.0))
