"""Render 3D views in a process of their own: ``python -m seatmesh.picture.view.render_child FOLDER``.

Each line that comes in names an ``.npz`` of the folder; a ``.shots.npz`` is written beside it. A machine without
working OpenGL may end this process outright, which is why it is one.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from itertools import product
from pathlib import Path
from typing import Any

import numpy as np
import pyvista

from seatmesh.arrays import Floats
from seatmesh.mesh import Mesh
from seatmesh.picture.contact.pressure_scale import STEPS_KPA, pressure_rgb
from seatmesh.picture.view.relief import Heights, bilinear, dots, edge_dots, edge_skin, top_skin
from seatmesh.picture.view.shots import Bytes, Marks, write_shots
from seatmesh.picture.wood.wood_colour import wood_rgb
from seatmesh.wood.boards.layup import Layup
from seatmesh.wood.boards.layup_text import layup_from_text

WINDOW = (2000, 1400)
"""About twice as fine as it is shown, which smooths it better and sooner than OpenGL's own smoothing."""

TOWARD_EYE = (0.42, 0.80, 0.62)
"""Direction from the seat to the eye: the sitter's right, ahead, above."""

BEYOND_EDGE = 0.2
"""A wall whose outward normal points away from the eye by more is hidden; the eye stands near, so some of it is not."""

AWAY_MM = 35.0
"""How far from the wood its words stand."""

LINE_RGB = (0.13, 0.17, 0.24)
"""Lines between bands of pressure."""


def render(path: Path) -> None:
    """Render one job."""
    with np.load(path) as job:
        data = {name: job[name] for name in job.files}
    grid = (data["x_mm"], data["y_mm"], data["depth_mm"])
    heights = Heights(*grid, data["polygon_mm"], float(data["thickness_mm"]))
    layup = layup_from_text(str(data["layup"]))
    wood = wood_face(heights, layup)
    faces = [_as_bytes(pressed(wood, heights, data, number)) for number in range(int(data["views"]))]
    solid = Solid(heights, top_skin(heights), *edge_skin(heights), wall_face(heights, layup))
    write_shots([shoot(solid, face) for face in faces], path.with_suffix(".shots.npz"))


@dataclass(frozen=True)
class Solid:
    """What all views of a seat share: its heights, its carved face, and its wall with a picture and places on it."""

    heights: Heights
    top: Mesh
    wall: Mesh
    places: Floats
    side: Bytes


def wall_face(heights: Heights, layup: Layup) -> Bytes:
    """Return the picture that is laid over the wall: wood, a little darker than the top's."""
    points, outward = edge_dots(heights)
    # What is turned away is never seen, and its wood need not be worked out.
    seen = outward[0] @ np.asarray(TOWARD_EYE) > -BEYOND_EDGE
    side = np.empty(points.shape, dtype=np.uint8)
    side[:, seen] = 255 * 0.86 * wood_rgb(layup, points[:, seen], outward[:, seen])
    side[:, ~seen] = side[:, seen].mean(axis=(0, 1))
    return side


def wood_face(heights: Heights, layup: Layup) -> Floats:
    """Return the colour of the wood, 0 to 1, at each dot of the picture laid over the top, rows from the rear."""
    x, y = dots(heights.polygon_mm)
    column, row = np.broadcast_arrays(x[None, :], y[:, None])
    depth = heights.at(column, row)
    by_y, by_x = np.gradient(-depth, y, x)
    normals = np.stack([-by_x, -by_y, np.ones_like(depth)], axis=-1)
    normals /= np.linalg.norm(normals, axis=-1)[..., None]
    return wood_rgb(layup, np.stack([column, row, -depth], axis=-1), normals)


def pressed(wood: Floats, heights: Heights, job: dict[str, Any], number: int) -> Floats:
    """Return the picture with bands of a sitter's pressure over the wood, if any."""
    face = wood
    if f"pressure_kpa_{number}" in job:
        x, y = dots(heights.polygon_mm)
        column, row = np.broadcast_arrays(x[None, :], y[:, None])
        rows, columns = job[f"pressure_y_mm_{number}"], job[f"pressure_x_mm_{number}"]
        # Figures stand at the middle of their cells: the outermost ones hold out to the edge.
        pressure = bilinear(rows, columns, job[f"pressure_kpa_{number}"], row, column)
        band = np.digitize(pressure, STEPS_KPA)
        face = np.where((band > 0)[..., None], pressure_rgb(pressure), face)
        edge = np.zeros(band.shape, dtype=bool)
        for before, after in ((np.s_[:, :-1], np.s_[:, 1:]), (np.s_[:-1], np.s_[1:])):
            edge[before] |= band[before] != band[after]
            edge[after] |= band[before] != band[after]
        face = np.where(edge[..., None], LINE_RGB, face)
    return face


def _as_bytes(face: Floats) -> Bytes:
    return np.asarray(np.clip(face * 255.0, 0, 255), dtype=np.uint8)


def shoot(solid: Solid, face: Bytes) -> tuple[Bytes, Marks]:
    """Light the seat, look at it from the sitter's front right above, and take the picture.

    Returns the picture, cut to the seat, and where the words for its sides go.
    """
    heights = solid.heights
    plotter = pyvista.Plotter(off_screen=True, window_size=list(WINDOW), lighting="none")
    plotter.set_background("white")
    look = {"smooth_shading": True, "ambient": 0.40, "diffuse": 0.72, "specular": 0.10, "specular_power": 12}
    look |= {"split_sharp_edges": True, "feature_angle": 40}
    plotter.add_mesh(_textured(solid.top, heights), texture=_texture(face), **look)
    wall = _poly(solid.wall)
    wall.active_texture_coordinates = solid.places
    plotter.add_mesh(wall, texture=_texture(solid.side), **look)
    width, depth = np.ptp(heights.polygon_mm, axis=0)
    _light(plotter, depth)
    middle = np.array([0.0, 0.5 * depth, -0.5 * heights.thickness_mm])
    eye = middle + 4.2 * max(width, depth) * np.asarray(TOWARD_EYE)
    plotter.camera_position = [tuple(eye), tuple(middle), (0.0, 0.0, 1.0)]
    plotter.camera.view_angle = 15.0
    _fill_window(plotter, heights)
    plotter.disable_anti_aliasing()
    image = np.asarray(plotter.screenshot(return_img=True))
    marks = {word: _on_picture(plotter, place) for word, place in _places(heights).items()}
    plotter.close()
    return _cropped(image, marks)


def _light(plotter: Any, depth: float) -> None:
    """Set a low light behind the sitter's left, which rakes the hollow, and two weak ones before it."""
    for place, strength in (((-950, -400, 480), 0.95), ((900, 1200, 900), 0.36), ((-400, 1500, 300), 0.20)):
        light = pyvista.Light(position=place, focal_point=(0, depth / 2, 0), intensity=strength)
        light.positional = False
        plotter.add_light(light)


def _places(heights: Heights) -> dict[str, tuple[float, float, float]]:
    (left, rear), (right, front) = heights.polygon_mm.min(axis=0), heights.polygon_mm.max(axis=0)
    under, middle = -heights.thickness_mm, (rear + front) / 2
    return {
        "FRONT": (0.0, front + AWAY_MM, under),
        "SITTER'S RIGHT": (right + AWAY_MM, middle, under),
        "SITTER'S LEFT": (left - AWAY_MM, middle, 0.0),
    }


def _fill_window(plotter: Any, heights: Heights) -> None:
    """Bring the seat as near as fits the window."""
    low, high = heights.polygon_mm.min(axis=0), heights.polygon_mm.max(axis=0)
    corners = product((low[0], high[0]), (low[1], high[1]), (-heights.thickness_mm, 0.0))
    half = np.asarray(WINDOW) / 2
    reach = max(np.max(np.abs(np.asarray(_on_picture(plotter, corner)) - half) / half) for corner in corners)
    plotter.camera.zoom(0.97 / float(reach))


def _on_picture(plotter: Any, place: tuple[float, float, float]) -> tuple[float, float]:
    renderer = plotter.renderer
    renderer.SetWorldPoint(*place, 1.0)
    renderer.WorldToDisplay()
    x, y, _ = renderer.GetDisplayPoint()
    return x, WINDOW[1] - y


def _cropped(image: Bytes, marks: Marks) -> tuple[Bytes, Marks]:
    """Cut white away; a picture of nothing but white means that OpenGL did not draw."""
    inked = np.any(image != 255, axis=2)
    if not inked.any():
        raise RuntimeError("OpenGL drew an empty picture")
    rows, columns = np.flatnonzero(inked.any(axis=1)), np.flatnonzero(inked.any(axis=0))
    top, left = rows[0], columns[0]
    moved = {word: (x - left, y - top) for word, (x, y) in marks.items()}
    return image[top : rows[-1] + 1, left : columns[-1] + 1], moved


def _poly(mesh: Mesh) -> Any:
    faces = np.column_stack([np.full(len(mesh.faces), 3), mesh.faces])
    return pyvista.PolyData(mesh.vertices_mm, faces.ravel())


def _texture(face: Bytes) -> Any:
    texture = pyvista.Texture(np.ascontiguousarray(face[::-1]))  # a texture's first row lies at its far end
    texture.interpolate = True
    texture.mipmap = True
    return texture


def _textured(mesh: Mesh, heights: Heights) -> Any:
    poly = _poly(mesh)
    low, high = heights.polygon_mm.min(axis=0), heights.polygon_mm.max(axis=0)
    poly.active_texture_coordinates = (mesh.vertices_mm[:, :2] - low) / (high - low)
    return poly


def main() -> None:
    """Render what the lines name."""
    for line in sys.stdin:
        render(Path(sys.argv[1]) / line.rstrip("\n"))


if __name__ == "__main__":
    main()
