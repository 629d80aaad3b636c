"""The contact map: right way round, on one scale, the same bytes each time."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from io import BytesIO
from pathlib import Path

import matplotlib
import numpy as np
import pytest
from matplotlib.colors import to_rgb
from numpy.typing import NDArray

from seatmesh.errors import FileRefusedError, ValueRefusedError
from seatmesh.picture.contact.contact_map import contact_map, figure_lines
from seatmesh.picture.contact.pressure_scale import STEPS_KPA, pressure_scale
from seatmesh.picture.style import WARNING, WOOD, Target
from seatmesh.seating.sitting import Sitting
from seatmesh.seating.sitting_figures import Figures

Pixels = NDArray[np.int16]
Drawn = Callable[[Callable[[Target], None]], Pixels]


def _near(pixels: Pixels, colour: str | NDArray[np.float64], within: int = 3) -> NDArray[np.bool_]:
    rgb = to_rgb(colour) if isinstance(colour, str) else colour
    wanted = np.rint(255.0 * np.asarray(rgb))
    return np.asarray(np.all(np.abs(pixels - wanted) <= within, axis=-1))


def _plan_box(pixels: Pixels) -> tuple[int, int, int, int]:
    """Return top, bottom, left and right of a lone bare blank: its colour, above the scale at the foot."""
    wood = _near(pixels[: int(0.85 * len(pixels))], WOOD)
    rows, columns = np.flatnonzero(wood.any(axis=1)), np.flatnonzero(wood.any(axis=0))
    return int(rows[0]), int(rows[-1]) + 1, int(columns[0]), int(columns[-1]) + 1


@pytest.fixture
def bare(sitting: Sitting) -> Sitting:
    return replace(sitting, pressure_kpa=np.zeros_like(sitting.pressure_kpa))


@pytest.mark.parametrize(
    ("sitters", "width"), [(1, 874), (2, 1240), (3, 1240), (4, 1240), (6, 1240), (7, 1240)]
)
def test_sheet_is_as_wide_as_its_paper(sitting: Sitting, drawn: Drawn, sitters: int, width: int) -> None:
    pixels = drawn(lambda to: contact_map([sitting] * sitters, to))
    assert pixels.shape[1] == width
    if sitters <= 6:
        assert len(pixels) <= 1754  # A4 is 297 mm long


def test_pressures_show_in_their_colours_at_their_places(
    sitting: Sitting, bare: Sitting, drawn: Drawn
) -> None:
    """Patches of 1.5, 5.5 and 50 kPa at front left, front right, rear right, in their bands' colours."""
    patches = {(-120.0, 340.0): 1.5, (120.0, 340.0): 5.5, (120.0, 120.0): 50.0}
    x, y = sitting.x_mm[None, :], sitting.y_mm[:, None]
    pressure = np.zeros_like(sitting.pressure_kpa)
    for (cx, cy), kpa in patches.items():
        pressure[np.hypot(x - cx, y - cy) < 40.0] = kpa
    top, bottom, left, right = _plan_box(drawn(lambda to: contact_map([bare], to)))
    pixels = drawn(lambda to: contact_map([replace(sitting, pressure_kpa=pressure)], to))
    blank = sitting.seat.blank
    for (cx, cy), kpa in patches.items():
        column = left + (cx + 10 + blank.width_mm / 2) / blank.width_mm * (right - left)
        row = bottom - (cy + 10) / blank.depth_mm * (bottom - top)
        seen = pixels[round(row), round(column)]
        assert _near(seen, pressure_scale().rgb(np.array(kpa))), (cx, cy, seen)


def test_mirrored_pressure_makes_the_mirrored_picture(lopsided: Sitting, bare: Sitting, drawn: Drawn) -> None:
    top, bottom, left, right = _plan_box(drawn(lambda to: contact_map([bare], to)))
    bottom -= (bottom - top) // 6  # leaves out the peak's label on the deck: words do not mirror
    one = drawn(lambda to: contact_map([lopsided], to))[top:bottom, left:right]
    mirrored = replace(lopsided, pressure_kpa=lopsided.pressure_kpa[:, ::-1])
    other = drawn(lambda to: contact_map([mirrored], to))[top:bottom, left:right]
    alike, unlike = (np.abs(_coarse(one) - _coarse(two)).max(axis=-1) for two in (other[:, ::-1], other))
    assert np.mean(alike > 25) < 0.002
    assert np.mean(unlike > 25) > 0.05


def _coarse(pixels: Pixels) -> NDArray[np.float64]:
    """Return means over 6 x 6 dots, which hide a line that is half a dot off."""
    rows, columns = (side // 6 for side in pixels.shape[:2])
    return np.asarray(pixels[: rows * 6, : columns * 6].reshape(rows, 6, columns, 6, 3).mean(axis=(1, 3)))


def test_no_contact_leaves_bare_wood(sitting: Sitting, bare: Sitting, drawn: Drawn) -> None:
    top, bottom, left, right = _plan_box(drawn(lambda to: contact_map([bare], to)))
    colour = pressure_scale().rgb(np.array(4.0))
    without = _near(drawn(lambda to: contact_map([bare], to))[top:bottom, left:right], colour).sum()
    with_contact = _near(drawn(lambda to: contact_map([sitting], to))[top:bottom, left:right], colour).sum()
    assert without == 0
    assert with_contact > 5000


def test_same_input_gives_the_same_bytes_whatever_the_users_settings(
    sitting: Sitting, tmp_path: Path
) -> None:
    stream = BytesIO()
    contact_map([sitting], stream)
    before = dict(matplotlib.rcParams)
    with matplotlib.rc_context({"font.size": 31.0, "axes.facecolor": "red", "savefig.dpi": 20}):
        contact_map([sitting], tmp_path / "map.png")
    assert (tmp_path / "map.png").read_bytes() == stream.getvalue()
    assert dict(matplotlib.rcParams) == before
    assert b"Software" not in stream.getvalue()


def test_units_change_the_words(sitting: Sitting, drawn: Drawn) -> None:
    assert figure_lines(sitting, "in")[0].endswith(f"{sitting.figures.contact_area_cm2 / 6.4516:.0f} sq in")
    assert figure_lines(sitting, "mm")[0].startswith("carries 49 kg (482 N)")
    in_mm = drawn(lambda to: contact_map([sitting], to, units="mm"))
    in_inches = drawn(lambda to: contact_map([sitting], to, units="in"))
    assert in_mm.shape == in_inches.shape
    assert not np.array_equal(in_mm, in_inches)


def test_no_balance_is_said_in_place_of_its_figures(sitting: Sitting, drawn: Drawn) -> None:
    lost = replace(sitting, verdict="the body misses the seat; move one over the other")
    assert "misses the seat" in figure_lines(lost, "mm")[1]
    assert "peak" not in " ".join(figure_lines(lost, "mm"))
    assert _near(drawn(lambda to: contact_map([lost], to)), WARNING).sum() > 50
    assert _near(drawn(lambda to: contact_map([sitting], to)), WARNING).sum() == 0


def test_a_sitting_without_balance_has_a_map_too(sitting: Sitting) -> None:
    """What `sit` returns then has a load and no figure that a balance would give."""
    bare = Figures.known("no balance after 80 steps", load_n=0.0, converged=False, residual=None)
    lost = replace(sitting, verdict="no balance after 80 steps", figures=bare)
    page = BytesIO()
    contact_map([lost, sitting], page)
    assert page.getvalue().startswith(b"\x89PNG")


def test_several_seats_are_named(sitting: Sitting, drawn: Drawn) -> None:
    other = replace(sitting, seat=replace(sitting.seat, title="flat seat"))
    one_seat = drawn(lambda to: contact_map([sitting, sitting], to))
    two_seats = drawn(lambda to: contact_map([sitting, other], to))
    assert not np.array_equal(one_seat, two_seats)


def test_refuses_no_sitter_other_units_and_a_folder_that_is_not(sitting: Sitting, tmp_path: Path) -> None:
    with pytest.raises(ValueRefusedError, match="at least one sitter"):
        contact_map([], tmp_path / "map.png")
    with pytest.raises(ValueRefusedError, match="mm, in"):
        contact_map([sitting], tmp_path / "map.png", units="cm")
    with pytest.raises(FileRefusedError, match="cannot be written"):
        contact_map([sitting], tmp_path / "missing" / "map.png")
    assert list(tmp_path.iterdir()) == []


def test_steps_cover_what_is_measured_under_sit_bones() -> None:
    """Check value S7 (from memory): peaks of 20 to 100 kPa, and means of 6 to 8, fall in different bands."""
    bands = np.digitize([1.0, 5.0, 7.5, 20.0, 50.0, 100.0], STEPS_KPA)
    assert len(set(bands)) == 6
