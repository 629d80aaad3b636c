"""The finder of words over words and lines in pictures finds them, and nothing else."""

from __future__ import annotations

import io

import pytest
from picture_overlaps import looked_at

from seatmesh.picture.style import axes_at_mm, sheet, write_at_mm


@pytest.mark.parametrize(
    ("second", "line", "ground", "found"),
    [
        ((30.0, 40.0), None, False, 0),
        ((12.0, 20.5), None, False, 1),
        ((30.0, 40.0), [0.0, 1.0], False, 1),
        ((30.0, 40.0), [0.0, 1.0], True, 0),
        ((78.0, 40.0), None, False, 1),
    ],
)
def test_words_over_words_over_lines_and_off_the_sheet(second, line, ground, found: int, monkeypatch) -> None:
    """The first words stand at 10, 20 mm; a line runs up through the second."""
    with (
        monkeypatch.context() as patch,
        looked_at(patch) as seen,
        sheet((80.0, 60.0), io.BytesIO()) as figure,
    ):
        write_at_mm(figure, 10.0, 20.0, "first words")
        axes = axes_at_mm(figure, 0.0, 0.0, 80.0, 60.0)
        axes.set_axis_off()
        axes.set_xlim(0.0, 1.0)
        axes.set_ylim(0.0, 1.0)
        if line is not None:
            axes.plot([0.4, 0.4], line, linewidth=1.0)
        box = {"bbox": {"facecolor": "white"}} if ground else {}
        axes.text(second[0] / 80.0, second[1] / 60.0, "second", **box)
    assert len(seen) == found, seen
