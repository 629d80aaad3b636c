"""Photographs are taken here by a camera written for the tests: a pinhole, and a polynomial distortion that the tool's
own (a division model) can only come near.
"""

import re
from dataclasses import replace
from functools import partial

import numpy as np
import pytest

from seatmesh.errors import InputError, UnknownKeyError, ValueRefusedError
from seatmesh.marks.known_points import check_known_points
from seatmesh.marks.photograph import KnownPoint, PhotographedMarks, SeenMark, marks_from_photograph
from seatmesh.wood.blank import Blank

SIZE_PX = (4000.0, 3000.0)
FOCAL_PX = 2900.0
DISTANCE_MM = 550.0
TILT_DEG = 12.0
ROLL_DEG = 7.0
BLANK = Blank(outline="straight-sided")
CORNERS = {
    "rear left": (-235.0, 5.0),
    "rear right": (235.0, 5.0),
    "front right": (235.0, 425.0),
    "front left": (-235.0, 425.0),
}
CHECKS = {
    "a": (-120.0, 100.0),
    "b": (130.0, 90.0),
    "c": (110.0, 330.0),
    "d": (-100.0, 340.0),
    "e": (0.0, 215.0),
    "f": (5.0, 395.0),
}
MARKS = {
    ("sit bone", "left"): (-57.0, 152.0),
    ("sit bone", "right"): (61.0, 149.0),
    ("end of the spine", "middle"): (2.0, 86.0),
}


def camera(place_mm: tuple[float, float], k1: float = 0.0) -> np.ndarray:
    """Return the pixel of a place on the blank, seen from above; k1 is over the focal length squared, as is usual."""
    tilt, roll = np.radians(TILT_DEG), np.radians(ROLL_DEG)
    x, y, z = place_mm[0], -(place_mm[1] - 215.0), 0.0
    x, y = x * np.cos(roll) - y * np.sin(roll), x * np.sin(roll) + y * np.cos(roll)
    y, z = y * np.cos(tilt), DISTANCE_MM + y * np.sin(tilt)
    u, v = x / z, y / z
    bend = 1.0 + k1 * (u * u + v * v)
    return np.array([SIZE_PX[0] / 2 + FOCAL_PX * u * bend, SIZE_PX[1] / 2 + FOCAL_PX * v * bend])


def photograph(k1: float = 0.0, noise_px: float = 0.0, seed: int = 0) -> PhotographedMarks:
    rng = np.random.default_rng(seed)

    def seen(at: tuple[float, float]) -> tuple[float, float]:
        u, v = camera(at, k1) + rng.normal(0.0, noise_px, 2)
        return float(u), float(v)

    corners, checks = (
        [KnownPoint(n, seen(at), at) for n, at in points.items()] for points in (CORNERS, CHECKS)
    )
    marks = [SeenMark(name, side, seen(at)) for (name, side), at in MARKS.items()]  # type: ignore[arg-type]
    return marks_from_photograph(corners, checks, marks, BLANK, image_size_px=SIZE_PX)


def test_a_perfect_photograph_gives_marks_and_no_error() -> None:
    found = photograph()
    assert found.check_worst_mm < 1e-5
    got = {(mark.name, mark.side): (mark.x_mm, mark.y_mm) for mark in found.marks}
    for key, at in MARKS.items():
        assert got[key] == pytest.approx(at, abs=1e-5)
    assert found.marks[0].standard_error_mm == pytest.approx(3.0)


def test_distortion_is_seen_at_the_check_points() -> None:
    plain = photograph(k1=-0.06)
    assert plain.check_rms_mm > 1.0
    assert plain.check_worst_mm > plain.check_rms_mm
    assert plain.check_rms_mm == pytest.approx(np.sqrt(np.mean(np.square(plain.check_errors_mm))))
    assert plain.check_worst_mm == max(plain.check_errors_mm)
    assert list(CHECKS)[int(np.argmax(plain.check_errors_mm))] == plain.check_worst
    assert plain.marks[0].standard_error_mm == pytest.approx(np.hypot(3.0, plain.check_rms_mm / np.sqrt(2.0)))


def test_error_at_the_check_points_stays_under_half_a_millimetre() -> None:
    """4000 x 3000 px, focal length 2900 px, 550 mm above the blank, tilted by 12 degrees; 1 px of noise each way on
    each point.
    """
    rms = np.array([photograph(noise_px=1.0, seed=seed).check_rms_mm for seed in range(30)])
    assert np.mean(rms < 0.5) > 0.9
    assert np.sqrt(np.mean(rms**2)) < 0.5
    # 1 px is DISTANCE / FOCAL = 0.19 mm each way on the check point alone.
    assert np.sqrt(np.mean(rms**2)) > np.sqrt(2.0) * 0.9 * DISTANCE_MM / FOCAL_PX


PERFECT = partial(marks_from_photograph, blank=BLANK, image_size_px=SIZE_PX)


def known(points: dict[str, tuple[float, float]]) -> list[KnownPoint]:
    return [KnownPoint(name, (float(camera(at)[0]), float(camera(at)[1])), at) for name, at in points.items()]


def test_corners_that_make_no_mapping_are_refused() -> None:
    corners, checks = known(CORNERS), known(CHECKS)
    with pytest.raises(InputError, match="3 corners given, allowed are 4"):
        PERFECT(corners[:3], checks, [])
    in_line = known({**CORNERS, "front left": (0.0, 6.0)})
    with pytest.raises(InputError, match="corners 'rear left', 'rear right', 'front left' lie on a line"):
        PERFECT(in_line, checks, [])
    with pytest.raises(InputError, match="lie on a line"):
        PERFECT([corners[0], *corners[:3]], checks, [])
    swapped = [
        replace(corners[0], pixel=corners[1].pixel),
        replace(corners[1], pixel=corners[0].pixel),
        *corners[2:],
    ]
    with pytest.raises(InputError, match="not in the same order"):
        PERFECT(swapped, checks, [])
    mirrored = [replace(one, pixel=(SIZE_PX[0] - one.pixel[0], one.pixel[1])) for one in corners]
    with pytest.raises(InputError, match="left and right would change places"):
        PERFECT(mirrored, checks, [])


def test_check_points_that_check_nothing_are_refused() -> None:
    corners, checks = known(CORNERS), known(CHECKS)
    with pytest.raises(InputError, match="3 check points given, at least 4"):
        PERFECT(corners, checks[:3], [])
    with pytest.raises(InputError, match="'d' is 5 mm from 'rear left'"):
        PERFECT(corners, known({**CHECKS, "d": (-230.0, 5.0)}), [])
    with pytest.raises(InputError, match="'f' is 10 mm from 'e'"):
        PERFECT(corners, known({**CHECKS, "f": (0.0, 225.0)}), [])


def test_check_points_that_change_places_are_seen() -> None:
    corners, checks = known(CORNERS), known(CHECKS)
    a, b, *others = checks
    mistaken = [replace(a, pixel=b.pixel), replace(b, pixel=a.pixel), *others]
    assert PERFECT(corners, mistaken, []).check_worst_mm == pytest.approx(np.hypot(250.0, 10.0), abs=1e-4)


def test_points_outside_the_image_and_unknown_marks_are_refused() -> None:
    corners, checks = known(CORNERS), known(CHECKS)
    with pytest.raises(
        ValueRefusedError, match=re.escape("'sit bone' pixel = (4010, 9): the image has 4000 x 3000")
    ):
        PERFECT(corners, checks, [SeenMark("sit bone", "left", (4010.0, 9.0))])
    with pytest.raises(ValueRefusedError, match="image has 2000 x 3000"):
        marks_from_photograph(corners, checks, [], BLANK, image_size_px=(2000.0, 3000.0))
    with pytest.raises(ValueRefusedError, match="allowed are numbers above 0"):
        marks_from_photograph(corners, checks, [], BLANK, image_size_px=(0.0, 3000.0))
    with pytest.raises(UnknownKeyError, match="did you mean 'sit bone'"):
        PERFECT(corners, checks, [SeenMark("sitbone", "left", (2000.0, 1500.0))])
    with pytest.raises(ValueRefusedError, match="outside the blank"):
        PERFECT(corners, checks, [SeenMark("sit bone", "left", (30.0, 20.0))])
    with pytest.raises(ValueRefusedError, match="finite"):
        PERFECT(corners, checks, [SeenMark("sit bone", "left", (float("nan"), 20.0))])


def test_check_points_lie_15_mm_apart_and_corners_make_triangles() -> None:
    corners, checks = known(CORNERS), known(CHECKS)
    PERFECT(corners, known({**CHECKS, "f": (0.0, 230.1)}), [])
    with pytest.raises(InputError, match="'f' is 15 mm from 'e', allowed is 15 mm or more"):
        PERFECT(corners, known({**CHECKS, "f": (0.0, 229.9)}), [])
    # 470 mm apart, a corner 2 % of that off the line of two others is the least.
    for off, refused in ((9.2, True), (9.7, False)):
        flat = known({**CORNERS, "front left": (0.0, 5.0 + off)})
        by_mm = [replace(one, pixel=(10.0 * one.at_mm[0], -10.0 * one.at_mm[1])) for one in flat]
        if refused:
            with pytest.raises(InputError, match="lie on a line"):
                check_known_points(by_mm, checks)
        else:
            check_known_points(by_mm, checks)
