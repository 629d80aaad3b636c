"""What a file of readings says without a word: how the bar lay, which points there may be."""

from types import SimpleNamespace

import numpy as np
import pytest

from seatmesh.errors import FileRefusedError, ValueRefusedError
from seatmesh.gauge.readings import readings, readings_file
from seatmesh.gauge.readings.readings_file import Row
from seatmesh.surface import Seat


def test_numbers_of_points_go_up_to_a_million():
    assert readings_file._number({"point": "1000000"}, "point", "line 2") == 1_000_000
    for other in ("1000001", "0"):
        with pytest.raises(ValueRefusedError, match="a whole number from 1"):
            readings_file._number({"point": other}, "point", "line 2")


@pytest.mark.parametrize(("apart", "refused"), [(0.098, False), (0.102, True)])
def test_a_second_reading_of_a_point_stands_within_a_tenth_of_a_millimetre(apart, refused):
    rows = [Row(2, 1, 0.0, 100.0, None, 60.0), Row(3, 1, apart, 100.0, None, 60.0)]
    if refused:
        with pytest.raises(FileRefusedError, match="stands on line 2 already"):
            readings_file.checked_rows(rows, "file")
    else:
        assert len(readings_file.checked_rows(rows, "file")) == 2


@pytest.mark.parametrize(("gain", "lay"), [(11.8, "across"), (12.2, "along")])
def test_uncut_wood_says_how_the_bar_lay_by_twelve_in_log_likelihood(monkeypatch, gain, lay):
    """Clean carvings differ by 6 by chance: twice as much is plain."""
    monkeypatch.setattr(readings, "seated_bars", lambda placings, *_: SimpleNamespace(evidence=placings))
    monkeypatch.setattr(readings, "placings_of", lambda *_: 100.0 + gain)
    across = 100.0

    class Placings(float):
        stated = False

    bars, (note,) = readings._bars(
        [Row(2, 1, 0.0, 100.0, None, 60.0)], Placings(across), np.zeros(1), None, None, Seat(), None
    )
    assert (bars.evidence > across) == (lay == "along")
    assert f"lay {lay}" in note or f"lie {lay} the seat" in note
