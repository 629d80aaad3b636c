"""3D views: drawn in a child, which may fail in any way without harm."""

from __future__ import annotations

import sys
import time
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from seatmesh.mesh import Mesh, is_closed, volume_mm3
from seatmesh.picture.view.relief import Heights, edge_skin, top_skin
from seatmesh.picture.view.view3d import ViewJob, render_views, start_views
from seatmesh.seating.sitting import Sitting
from seatmesh.surface import Seat
from seatmesh.wood.outline.shapes import area_mm2

Floats = NDArray[np.float64]


@pytest.fixture
def heights(seat: Seat) -> Heights:
    x, y = np.linspace(-240.0, 240.0, 97), np.linspace(0.0, 430.0, 87)
    blank = seat.blank
    return Heights(x, y, seat.depth_mm(x[None, :], y[:, None]), blank.polygon_mm(), blank.thickness_mm)


def _interpreter(folder: Path, lines: str) -> str:
    """Return a stand-in for Python that does as `lines` of shell say."""
    path = folder / "python"
    path.write_text(f"#!/bin/sh\n{lines}\n", "utf-8")
    path.chmod(0o755)
    return str(path)


def _area_in_plan(mesh: Mesh) -> Floats:
    a, b, c = (mesh.vertices_mm[mesh.faces[:, i], :2] for i in range(3))
    ab, ac = b - a, c - a
    return np.asarray(0.5 * (ab[:, 0] * ac[:, 1] - ab[:, 1] * ac[:, 0]))


def test_top_covers_the_outline_once_and_faces_up(heights: Heights) -> None:
    areas = _area_in_plan(top_skin(heights))
    assert areas.min() > 0
    assert areas.sum() == pytest.approx(area_mm2(heights.polygon_mm), rel=1e-9)


def test_top_and_wall_close_over_a_flat_underside(heights: Heights) -> None:
    """With a flat copy of the top for underside the relief is closed, and holds the wood's volume."""
    top, (wall, places) = top_skin(heights), edge_skin(heights)
    assert places.min() == 0.0
    assert places.max() == 1.0
    flat = top.vertices_mm * [1.0, 1.0, 0.0] - [0.0, 0.0, heights.thickness_mm]
    n = len(top.vertices_mm)
    points = np.vstack([top.vertices_mm, flat, wall.vertices_mm])
    faces = np.vstack([top.faces, top.faces[:, ::-1] + n, wall.faces + 2 * n])
    unique, index = np.unique(np.asarray(np.round(points, 6), dtype=np.float64), axis=0, return_inverse=True)
    relief = Mesh(unique, index.reshape(-1)[faces].astype(np.int64))
    assert is_closed(relief)
    centres = top.vertices_mm[top.faces].mean(axis=1)
    wood = (_area_in_plan(top) * (heights.thickness_mm + centres[:, 2])).sum()
    assert volume_mm3(relief) == pytest.approx(wood, rel=1e-6)


def test_depth_is_linear_between_points_and_held_beyond(heights: Heights) -> None:
    plane = replace(heights, depth_mm=0.01 * heights.x_mm[None, :] + 0.02 * heights.y_mm[:, None])
    assert plane.at(np.array([33.3, 400.0]), np.array([120.7, 120.7])) == pytest.approx(
        [0.333 + 2.414, 2.4 + 2.414]
    )


def test_views_are_drawn_right_way_round_and_alike(seat: Seat, sitting: Sitting, tmp_path: Path) -> None:
    """A patch pressed hard at the sitter's front right lies at the lower left, before the eye."""
    x, y = sitting.x_mm[None, :], sitting.y_mm[:, None]
    faint = 0.2 * (sitting.pressure_kpa > 0.0)
    patch = replace(sitting, pressure_kpa=np.where(np.hypot(x - 110.0, y - 345.0) < 30.0, 50.0, faint))
    light = replace(sitting, pressure_kpa=faint)
    paths = [tmp_path / f"{name}.png" for name in ("wood", "pressed", "again", "light")]
    of = ((), (patch,), (patch,), (light,))
    jobs = [ViewJob(seat, path, one) for path, one in zip(paths, of, strict=True)]
    note = render_views(jobs)
    if note is not None and "signal" in note:
        pytest.skip(note)
    assert note is None
    wood, pressed, _, unpressed = (np.asarray(Image.open(path).convert("RGB"), dtype=int) for path in paths)
    assert wood.shape == pressed.shape == (874, 1240, 3)
    assert paths[1].read_bytes() == paths[2].read_bytes()
    # The line where contact ends is drawn on both, and the scale below.
    blue = np.argwhere(np.abs(pressed - unpressed)[:690].max(axis=-1) > 60)
    assert len(blue) > 1500
    row, column = blue.mean(axis=0)
    assert 430 < row < 640
    assert 280 < column < 600
    brown = np.mean((wood[..., 0] > wood[..., 2] + 30) & (wood.sum(axis=-1) < 600))
    assert 0.25 < brown < 0.6


def test_every_sitter_of_a_shared_seat_has_a_view(seat: Seat, sitting: Sitting, tmp_path: Path) -> None:
    faint = replace(sitting, pressure_kpa=0.2 * (sitting.pressure_kpa > 0.0))
    hard = replace(sitting, pressure_kpa=50.0 * (sitting.pressure_kpa > 0.0))
    path = tmp_path / "view.png"
    note = render_views([ViewJob(seat, path, (faint, hard))])
    if note is not None and "signal" in note:
        pytest.skip(note)
    assert note is None
    picture = np.asarray(Image.open(path).convert("RGB"), dtype=int)[:600]
    dark = (picture[..., 2] > picture[..., 0] + 60) & (picture.sum(axis=-1) < 330)
    middle = picture.shape[1] // 2
    assert dark[:, middle:].sum() > 20 * max(dark[:, :middle].sum(), 100)


def test_a_bevel_is_a_lower_wall(seat: Seat, tmp_path: Path) -> None:
    blank = replace(seat.blank, under_bevel_width_mm=30.0, under_bevel_height_mm=20.0)
    tall_for_wide = []
    for number, one in enumerate((seat, replace(seat, blank=blank))):
        path = tmp_path / f"{number}.png"
        note = render_views([ViewJob(one, path)])
        if note is not None and "signal" in note:
            pytest.skip(note)
        picture = np.asarray(Image.open(path).convert("RGB"), dtype=int)
        brown = np.argwhere(picture[..., 0] > picture[..., 2] + 30)
        tall_for_wide.append(np.ptp(brown[:, 0]) / np.ptp(brown[:, 1]))
    assert tall_for_wide[1] < 0.97 * tall_for_wide[0]


def test_a_crash_of_opengl_becomes_a_note(
    seat: Seat, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """VTK without any way to OpenGL ends its process; the caller gets a note and no file."""
    monkeypatch.setenv("VTK_DEFAULT_OPENGL_WINDOW", "vtkNoSuchWindow")
    monkeypatch.setenv("__EGL_VENDOR_LIBRARY_FILENAMES", "/nonexistent")
    monkeypatch.delenv("DISPLAY", raising=False)
    note = render_views([ViewJob(seat, tmp_path / "view.png")])
    assert note is not None
    assert "libegl1" in note
    assert "vtk-osmesa" in note
    assert not (tmp_path / "view.png").exists()


@pytest.mark.skipif(sys.platform == "win32", reason="the stand-in is a shell script")
@pytest.mark.parametrize(
    ("lines", "said"),
    [
        ("kill -11 $$", "signal 11"),
        ("echo 'ImportError: libGL.so.1 is missing' >&2; exit 1", "libGL.so.1 is missing"),
        ('echo half > "$4/000.png"; exit 3', "no word why"),
        ("exec sleep 60", "longer than the time allowed"),
    ],
)
def test_any_other_end_becomes_a_note_and_nothing_is_left(
    seat: Seat, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, lines: str, said: str
) -> None:
    temporary = tmp_path / "temporary"
    temporary.mkdir()
    monkeypatch.setattr("tempfile.tempdir", str(temporary))
    began = time.monotonic()
    views = start_views(
        [ViewJob(seat, tmp_path / "view.png")], python=_interpreter(tmp_path, lines), time_allowed_s=2.0
    )
    note = views.finish()
    assert note is not None
    assert said in note
    assert views.finish() == note
    assert time.monotonic() - began < 10.0
    assert not (tmp_path / "view.png").exists()
    assert list(temporary.iterdir()) == []


def test_a_missing_interpreter_becomes_a_note(seat: Seat, tmp_path: Path) -> None:
    note = start_views([ViewJob(seat, tmp_path / "view.png")], python=str(tmp_path / "none")).finish()
    assert note is not None
    assert "no process could be started" in note


@pytest.mark.skipif(sys.platform == "win32", reason="the stand-in is a shell script")
def test_views_no_longer_held_are_given_up(
    seat: Seat, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    temporary = tmp_path / "temporary"
    temporary.mkdir()
    monkeypatch.setattr("tempfile.tempdir", str(temporary))
    views = start_views([ViewJob(seat, tmp_path / "v.png")], python=_interpreter(tmp_path, "exec sleep 60"))
    assert len(list(temporary.iterdir())) == 1
    del views
    assert list(temporary.iterdir()) == []


def test_no_views_need_no_child() -> None:
    assert render_views([]) is None
