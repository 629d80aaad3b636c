"""What a scan tells of its own errors: bent, doubled, one-sided and mirrored ones are refused, an unsure scale is told.

The errors are laid on points of a seat of which everything is known; nothing here knows how the reader finds them.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

sys.path.insert(0, str(Path(__file__).parent))

from drawn_scans import Drawn, body_of, kept, meshed, sampled, seen_from_above

from seatmesh.errors import FileRefusedError
from seatmesh.reading.carved import Carved, read_carved
from seatmesh.reading.handedness import check_meant
from seatmesh.reading.pose.judged.evidence import Plan
from seatmesh.reading.quality.bend import bend
from seatmesh.reading.quality.doubled import doubled
from seatmesh.reading.quality.one_sided import one_sided_mm
from seatmesh.surface import Seat

pytestmark = pytest.mark.kernel

Floats = NDArray[np.float64]
Put = Callable[[bytes, str], Path]
UP = np.array([0.0, 0.0, 1.0])


@pytest.fixture(scope="module")
def points(uneven_seat: Seat) -> Floats:
    """Return a scan from above, 2.2 mm between its points, which scatter by 0.1 mm."""
    mesh = meshed(body_of(uneven_seat), 6.0)
    mesh = kept(mesh, seen_from_above(mesh))
    clean = sampled(mesh, 60_000, np.random.default_rng(4))
    return np.asarray(clean + np.random.default_rng(8).normal(0.0, 0.1, clean.shape))


def read(points: Floats, seat: Seat, put: Put) -> Carved:
    data, suffix = Drawn("drawn", seat, points, np.zeros((0, 3), dtype=np.int64)).file()
    return read_carved(put(data, suffix), seat.blank, unit="mm")


def lengthwise(points: Floats) -> Floats:
    return np.asarray(((points[:, 1] - 215.0) / 215.0) ** 2)


def crosswise(points: Floats) -> Floats:
    return np.asarray(points[:, 0] / 240.0 * (points[:, 1] - 215.0) / 215.0)


@pytest.mark.parametrize("shape", [lengthwise, crosswise])
@pytest.mark.parametrize("most_mm", [0.5, -0.5])
def test_deck_and_rim_tell_a_bend_that_the_deck_alone_does_not(
    points: Floats, uneven_seat: Seat, shape: Callable[[Floats], Floats], most_mm: float
) -> None:
    plan = Plan.of(uneven_seat.blank, 2.0)
    assert bend(points, plan, uneven_seat.roll_start_mm, 0.1).mm < 0.02
    off = most_mm * shape(points)
    found = bend(points + np.outer(off, UP), plan, uneven_seat.roll_start_mm, 0.1)
    assert 0.1 < found.mm < 0.25
    assert found.error_mm < 0.02
    half = bend(points + np.outer(0.5 * off, UP), plan, uneven_seat.roll_start_mm, 0.1)
    assert half.mm == pytest.approx(0.5 * found.mm, abs=0.02)


def test_a_scan_bent_from_rear_to_front_is_refused(points: Floats, uneven_seat: Seat, put: Put) -> None:
    with pytest.raises(FileRefusedError, match="uncut wood of deck and rim bent"):
        read(points + np.outer(0.5 * lengthwise(points), UP), uneven_seat, put)


def test_scatter_that_goes_one_way_in_the_hollow_is_measured(points: Floats, uneven_seat: Seat) -> None:
    assert one_sided_mm(points, uneven_seat) == 0.0
    hollow = uneven_seat.depth_mm(points[:, 0], points[:, 1]) > 1.0
    more = np.where(hollow, np.abs(np.random.default_rng(5).normal(0.0, 0.3, len(points))), 0.0)
    moved = one_sided_mm(points + np.outer(more, UP), uneven_seat)
    # The middle of half a normal scatter: its median is 0.674 standard deviations.
    assert moved == pytest.approx(0.674 * 0.3, rel=0.25)


def test_a_face_that_two_passes_show_apart_is_refused(points: Floats, uneven_seat: Seat, put: Put) -> None:
    assert doubled(points, uneven_seat)[0] == 0.0
    second = (np.random.default_rng(6).random(len(points)) < 0.5) & (points[:, 1] > 150.0)
    twice = points + np.outer(0.5 * second, UP)
    share, apart = doubled(twice - [0.0, 0.0, 0.25], uneven_seat)
    assert share > 0.3
    assert apart == pytest.approx(0.5, abs=0.08)
    with pytest.raises(FileRefusedError, match=r"two surfaces about 0\.5 mm apart"):
        read(twice, uneven_seat, put)


def test_a_scale_that_nothing_tells_is_counted_and_told(points: Floats, uneven_seat: Seat, put: Put) -> None:
    got = read(points, uneven_seat, put)
    x, y = np.meshgrid(np.arange(-234.0, 235.0, 4.0), np.arange(54.0, 426.0, 4.0))
    own = (uneven_seat.blank.inside_mm(x, y) > 2.0) & (uneven_seat.blank.ahead_of_deck_mm(x, y) > 0.0)
    hundredth = 0.01 * float(np.sqrt(np.mean(uneven_seat.depth_mm(x[own], y[own]) ** 2)))
    assert got.sure_within_mm == pytest.approx(2.0 * np.hypot(hundredth, got.error_mm), rel=0.05)
    assert any("scanner's scale" in note and f"{hundredth:.2f} mm rms" in note for note in got.notes)


def test_the_mirror_image_of_the_seat_meant_is_refused(carve: Any, uneven_seat: Seat) -> None:
    assert check_meant(uneven_seat, uneven_seat, "scan") == ()
    with pytest.raises(FileRefusedError, match="is mirrored"):
        check_meant(carve(deeper_on_the_right_mm=-3.0), uneven_seat, "scan")
    (note,) = check_meant(carve(), uneven_seat, "scan")
    assert "another of the same blank" in note
