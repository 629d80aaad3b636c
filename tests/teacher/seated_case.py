"""One body on one seat, pressed by elements: the case, its pressure on the grid of the seat, and its figures."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from flesh_balance import Flesh, Ground, flesh_of
from flesh_mesh import FleshMesh, bone_distance, flesh_mesh
from numpy.typing import NDArray
from ogden_solid import Ogden
from scipy.interpolate import LinearNDInterpolator, RectBivariateSpline
from scipy.ndimage import distance_transform_edt
from scipy.spatial import cKDTree
from settle_flesh import SettledFlesh, settle_flesh

from seatmesh.seating.figures import area_figures, averaged, hottest_share
from seatmesh.seating.sitter import Sitter
from seatmesh.surface import Seat
from seatmesh.wood.outline.shapes import contains

Floats = NDArray[np.float64]

COARSE = 0.55
EDGE_RADIUS_MM, FALL_END_MM = 15.0, 60.0
GROUND_MM = 2.0
"""Spacing at which the seat is sampled; between the samples runs a cubic spline."""


USUAL_FLESH = Ogden(3.5, 10.0)
"""Meets most of the published rows at once; see `published_rows.py`."""


@dataclass(frozen=True)
class Tissue:
    """What nobody knows of flesh: the material, how it is held at the cut, fat over muscle.

    `fat_share` is the share of mu in the outer `fat_depth` of the way to bone, over mu inside.
    """

    material: Ogden = USUAL_FLESH
    sliding_cut: bool = False
    fat_share: float = 1.0
    fat_depth: float = 0.5


@dataclass(frozen=True)
class Pressed:
    """A case in balance: pressure on the seat's grid, kPa (ny, nx), and its figures."""

    pressure_kpa: Floats
    settled: SettledFlesh
    figures: dict[str, float]


def ground_of(seat: Seat, at_mm: tuple[float, float]) -> Ground:
    """Return the seat's surface over the body's frame, the origin of which lies at `at_mm`.

    Beyond the outline it falls off in a small round, so that no node of the skin comes on and off the wood at once.
    """
    blank = seat.blank
    x = np.arange(-0.5 * blank.width_mm - 60.0, 0.5 * blank.width_mm + 60.0 + GROUND_MM, GROUND_MM)
    y = np.arange(-60.0, blank.depth_mm + 60.0 + GROUND_MM, GROUND_MM)
    inside_x = np.clip(x, -0.5 * blank.width_mm, 0.5 * blank.width_mm)
    depth = seat.depth_mm(inside_x[:, None], np.clip(y, 0.0, blank.depth_mm)[None, :])
    inside = contains(blank.polygon_mm(), x[:, None], y[None, :])
    beyond = np.minimum(GROUND_MM * distance_transform_edt(~inside), FALL_END_MM)
    spline = RectBivariateSpline(x, y, -depth - beyond**2 / (2.0 * EDGE_RADIUS_MM), kx=3, ky=3)

    def ground(body_x: Floats, body_y: Floats) -> tuple[Floats, Floats, Floats]:
        px = np.clip(body_x + at_mm[0], x[0], x[-1])
        py = np.clip(body_y + at_mm[1], y[0], y[-1])
        slope = np.stack([spline.ev(px, py, dx=1), spline.ev(px, py, dy=1)], axis=1)
        xx, xy, yy = (spline.ev(px, py, dx=i, dy=j) for i, j in ((2, 0), (1, 1), (0, 2)))
        return spline.ev(px, py), slope, np.stack([np.stack([xx, xy], 1), np.stack([xy, yy], 1)], 1)

    return ground


class Sitting3D:
    """A sitter's flesh, meshed once, to be pressed on one seat after another."""

    def __init__(
        self, sitter: Sitter, tissue: Tissue, fineness: float = 1.0, cut_mm: float | None = None
    ) -> None:
        self.sitter = sitter
        self.coarse = self._flesh(tissue, COARSE, cut_mm)
        self.flesh = self._flesh(tissue, fineness, cut_mm)

    def _flesh(self, tissue: Tissue, fineness: float, cut_mm: float | None) -> Flesh:
        mesh = flesh_mesh(self.sitter.seated, fineness, cut_mm)
        share = None
        if tissue.fat_share != 1.0:
            share = _fat_over_muscle(self.sitter, mesh, tissue)
        return flesh_of(mesh, tissue.material, sliding_cut=tissue.sliding_cut, share=share)

    def press(self, seat: Seat, load_n: float | None = None) -> Pressed:
        """Return the case on a seat: solved coarsely, then finely from there."""
        own = self.sitter.load
        half = 0.5 * (own.force_n if load_n is None else load_n)
        ground = ground_of(seat, self.sitter.at_mm)
        rough = settle_flesh(self.coarse, ground, half, own.y_mm)
        guess = np.zeros(self.flesh.count)
        moves = rough.unknowns[:-2].reshape(-1, 3)
        guess[:-2] = self.coarse.mesh.carried_over(moves, self.flesh.mesh).ravel()
        guess[-2:] = rough.unknowns[-2:]
        fixed = np.setdiff1d(np.arange(self.flesh.count), self.flesh.free)
        guess[fixed] = 0.0
        settled = settle_flesh(self.flesh, ground, half, own.y_mm, guess)
        pressure = pressure_on_grid(self.flesh, settled, self.sitter)
        return Pressed(pressure, settled, figures_3d(self.flesh, settled, self.sitter, pressure, 2.0 * half))


def _fat_over_muscle(sitter: Sitter, mesh: FleshMesh, tissue: Tissue) -> Floats:
    middle = mesh.points[mesh.cells].mean(axis=1)
    to_bone = np.maximum(bone_distance(sitter.seated, middle), 0.0)
    to_skin = np.maximum(middle[:, 2] - sitter.seated.fields(middle[:, 0], middle[:, 1]).skin, 0.0)
    return np.where(to_skin < tissue.fat_depth * (to_skin + to_bone), tissue.fat_share, 1.0)


def pressure_on_grid(flesh: Flesh, settled: SettledFlesh, sitter: Sitter) -> Floats:
    """Return the seat's push spread over the grid of the seat, kPa, shape (ny, nx), left as right."""
    mesh = flesh.mesh
    at = mesh.points[:, :2] + settled.unknowns[:-2].reshape(-1, 3)[:, :2]
    corner = at[mesh.skin]
    one, two = corner[:, 2] - corner[:, 0], corner[:, 3] - corner[:, 1]
    quads = 0.5 * np.abs(one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0])
    area = np.bincount(mesh.skin.ravel(), np.repeat(0.25 * quads, 4), minlength=len(at))[flesh.skin_nodes]
    nodal = 1e3 * settled.push_n / area
    places = at[flesh.skin_nodes]
    mirrored = places * np.array([-1.0, 1.0])
    right = places[:, 0] > 1e-6
    field = LinearNDInterpolator(
        np.vstack([places, mirrored[right]]), np.append(nodal, nodal[right]), fill_value=0.0
    )
    x, y = sitter.cells_mm
    pressure = field(x - sitter.at_mm[0], y - sitter.at_mm[1])
    grid = sitter.grid
    carried = float((pressure * grid.wood.ravel()).sum()) * grid.cell_area_mm2 * 1e-3
    return np.asarray((pressure * 2.0 * settled.push_n.sum() / carried).reshape(grid.wood.shape))


def figures_3d(
    flesh: Flesh, settled: SettledFlesh, sitter: Sitter, pressure: Floats, load_n: float
) -> dict[str, float]:
    """Return the figures of a case, named as those of a sitting."""
    grid = sitter.grid
    area = grid.cell_area_mm2 * grid.wood
    areas = area_figures(pressure.ravel(), area.ravel())
    smooth = averaged(pressure, grid.cell_mm)
    row, column = np.unravel_index(int(smooth.argmax()), smooth.shape)
    x, y = np.meshgrid(grid.x_mm - sitter.at_mm[0], grid.y_mm - sitter.at_mm[1])
    force = pressure * area / 1e3
    tip = np.hypot(np.abs(x) - sitter.seated.anatomy.sit_bone_x, y) <= 30.0
    free, left = tissue_under_sit_bone(flesh, settled, sitter)
    return {
        "load_n": load_n,
        "area_cm2": areas.counted_cm2,
        "mean_kpa": areas.mean_kpa,
        "peak_kpa": float(smooth.max()),
        "peak_x_mm": float(abs(x[row, column])),
        "peak_y_mm": float(y[row, column]),
        "hottest_8_percent_share": hottest_share(pressure.ravel(), area.ravel(), load_n),
        "share_within_30_mm": float(force[tip].sum() / load_n),
        "share_behind": float(force[y < 0.0].sum() / load_n),
        "tissue_free_mm": free,
        "tissue_left_mm": left,
        "heave_mm": settled.heave_mm,
        "pitch_deg": float(np.degrees(settled.pitch)),
        "imbalance": settled.imbalance,
    }


def tissue_under_sit_bone(flesh: Flesh, settled: SettledFlesh, sitter: Sitter) -> tuple[float, float]:
    """Return the least distance from sit bone to skin, mm, free and pressed."""
    bone = sitter.seated.bones["right_sit_bone"]
    mesh = flesh.mesh
    before = mesh.points[flesh.skin_nodes]
    after = before + settled.unknowns[:-2].reshape(-1, 3)[flesh.skin_nodes]
    away = []
    for skin in (before, after):
        near = skin[np.hypot(skin[:, 0] - bone.centre[0], skin[:, 1] - bone.centre[1]) < 70.0]
        centre = near - np.asarray(bone.centre)
        # Points on a fine patch of the sheet of skin, so that the spacing of the nodes does not show.
        u, v = np.meshgrid(np.linspace(-18, 18, 19), np.linspace(-25, 25, 26))
        z = LinearNDInterpolator(centre[:, :2], centre[:, 2])(u, v).ravel()
        patch = np.stack([u.ravel(), v.ravel(), z], axis=1)
        away.append(float(np.nanmin(_from_ellipsoid(patch, np.asarray(bone.semi_axes)))))
    return away[0], away[1]


def _from_ellipsoid(points: Floats, axes: Floats) -> Floats:
    """Return the distance of outside points (n, 3) to an ellipsoid about the origin, by samples of its underside."""
    angle, turn = np.meshgrid(np.linspace(0.0, 0.9, 40), np.linspace(0.0, 2 * np.pi, 61)[:-1])
    surface = np.stack(
        [
            axes[0] * np.sin(angle) * np.cos(turn),
            axes[1] * np.sin(angle) * np.sin(turn),
            -axes[2] * np.cos(angle),
        ],
        axis=-1,
    ).reshape(-1, 3)
    good = np.isfinite(points).all(axis=1)
    out = np.full(len(points), np.nan)
    out[good] = cKDTree(surface).query(points[good])[0]
    return out
