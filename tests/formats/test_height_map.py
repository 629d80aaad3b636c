from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from seatmesh.errors import ValueRefusedError
from seatmesh.formats.height_map import height_map, height_map_png, write_height_map
from seatmesh.surface import Seat, flat_seat
from seatmesh.wood.blank import Blank


def test_the_picture_holds_the_depths_to_half_a_level_the_front_row_first(
    uneven_seat: Seat, tmp_path: Path
) -> None:
    write_height_map(uneven_seat, tmp_path / "seat.png", 1.0)
    picture = Image.open(tmp_path / "seat.png")
    assert picture.mode == "I;16"
    assert picture.size == (480, 430)
    depth = (65535 - np.asarray(picture, dtype=float)) / 1000.0
    x, y = np.arange(-239.5, 240.0), np.arange(429.5, 0.0, -1.0)
    np.testing.assert_allclose(depth, uneven_seat.depth_mm(x[None, :], y[:, None]), rtol=0.0, atol=5.01e-4)
    assert depth[0, 240] > 9.0  # the front roll
    assert np.all(depth[-49:] == 0.0)  # the deck
    text = picture.text  # type: ignore[attr-defined]
    assert text["Title"] == "viola"
    assert text["unit"] == "mm"
    assert text["mm per level"].startswith("0.001,")
    assert text["mm per pixel"] == "1 across, 1 along"
    assert text["x of columns"].startswith("-239.5 to 239.5")
    assert text["y of rows"].startswith("429.5 to 0.5")
    assert picture.info["dpi"] == pytest.approx((25.4, 25.4), rel=1e-3)


def test_a_title_in_any_script_stands_in_the_picture(tmp_path: Path) -> None:
    heights = height_map(flat_seat(), 10.0)
    for title in ("Stühlchen", "椅子", "κάθισμα"):
        (tmp_path / "seat.png").write_bytes(height_map_png(heights, title))
        assert Image.open(tmp_path / "seat.png").text["Title"] == title  # type: ignore[attr-defined]


def test_the_grid_holds_the_heights_and_says_how_it_lies(uneven_seat: Seat, tmp_path: Path) -> None:
    write_height_map(uneven_seat, tmp_path / "seat.txt", 2.0, name="cello")
    z = np.loadtxt(tmp_path / "seat.txt")
    heights = height_map(uneven_seat, 2.0)
    np.testing.assert_allclose(z, heights.z_mm, rtol=0.0, atol=5.01e-5)
    assert z.shape == (215, 240)
    comments = [line for line in (tmp_path / "seat.txt").read_text().splitlines() if line[0] == "#"]
    assert "# Title: cello" in comments
    assert "# unit: mm" in comments
    assert not any("-0.0000" in line for line in (tmp_path / "seat.txt").read_text().splitlines())


def test_whole_pixels_fill_the_rectangle_and_are_no_wider_than_asked() -> None:
    heights = height_map(flat_seat(Blank(width_mm=401.3, depth_mm=382.7)), 0.7)
    across, along = heights.pixel_mm
    assert 0.69 < across <= 0.7
    assert across * len(heights.x_mm) == pytest.approx(401.3)
    assert along * len(heights.y_mm) == pytest.approx(382.7)
    np.testing.assert_allclose(heights.x_mm, -heights.x_mm[::-1], atol=1e-12)


def test_the_same_map_gives_the_same_bytes(uneven_seat: Seat) -> None:
    heights = height_map(uneven_seat, 3.0)
    assert height_map_png(heights, "a") == height_map_png(height_map(uneven_seat, 3.0), "a")
    assert height_map_png(heights, "a") != height_map_png(heights, "b")


@pytest.mark.parametrize("spacing_mm", [0.0, -1.0, 0.04, 21.0, float("nan"), float("inf")])
def test_a_spacing_out_of_range_is_refused(spacing_mm: float) -> None:
    with pytest.raises(ValueRefusedError, match=r"spacing_mm = .*0\.05 to 20 mm"):
        height_map(flat_seat(), spacing_mm)


def test_too_many_pixels_are_refused() -> None:
    with pytest.raises(ValueRefusedError, match=r"9600 x 8600 pixels.*wider"):
        height_map(flat_seat(), 0.05)


def test_a_depth_beyond_the_darkest_level_is_refused() -> None:
    deep = Seat(Blank(thickness_mm=100.0), front_roll_mm=140.0)
    with pytest.raises(ValueRefusedError, match=r"greatest depth, mm = \d\d\..*65\.535"):
        height_map_png(height_map(deep, 5.0), "deep")


def test_another_suffix_is_refused(tmp_path: Path) -> None:
    with pytest.raises(ValueRefusedError, match=r"\.png and \.txt"):
        write_height_map(flat_seat(), tmp_path / "seat.tif")
    assert list(tmp_path.iterdir()) == []
