"""Scans as they come, drawn at random from seats of which everything is known.

Nothing here knows how the reader works: a scene (seat, table, floor, legs, things that lie about) is made one solid by
manifold3d, what a scanner sees of it is kept, and noise of its own kind is laid on that.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import manifold3d as m3
import numpy as np
import shapely
import trimesh
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from seatmesh.formats.mesh_file import mesh_bytes
from seatmesh.mesh import Mesh
from seatmesh.solids.carved import solid
from seatmesh.solids.holes import cut_holes
from seatmesh.surface import Seat
from seatmesh.wood.joint import Joint
from seatmesh.wood.joint_cuts import joint_cuts
from seatmesh.wood.outline.shapes import OUTLINES

Floats = NDArray[np.float64]

FINE_MM = 0.02
"""The seat's own mesh lies so near to it: small beside what is asked of a scan."""
RIGHT_MM = 0.1
LEGS = ((-165.0, 85.0), (165.0, 85.0), (-175.0, 335.0), (175.0, 335.0))
FLOOR_MM = 450.0


@dataclass(frozen=True)
class Drawn:
    """A drawn scan: the seat that it is of, its points and triangles in mm, and what was drawn."""

    name: str
    seat: Seat
    points: Floats
    faces: NDArray[np.int64]
    unit: str = "mm"
    scene: str = "alone"
    up: tuple[float, float, float] = (0.0, 0.0, 1.0)
    front: tuple[float, float, float] = (0.0, 1.0, 0.0)

    def file(self) -> tuple[bytes, str]:
        """Return the scan as a file: a binary STL, or a list of points in its unit."""
        size = {"mm": 1.0, "m": 1000.0, "in": 25.4, "cm": 10.0}[self.unit]
        points = self.points / size
        if len(self.faces):
            return mesh_bytes(Mesh(points, self.faces), "stl"), ".stl"
        head = f"ply\nformat binary_little_endian 1.0\nelement vertex {len(points)}\n"
        head += "property float x\nproperty float y\nproperty float z\nend_header\n"
        return head.encode() + points.astype("<f4").tobytes(), ".ply"


def off_mm(seat: Seat, again: Seat) -> Floats:
    """Differences of depth over the top face, 2 mm inside the outline and clear of the mouths of holes from above."""
    polygon = shapely.Polygon(seat.blank.polygon_mm())
    left, rear, right, front = polygon.bounds
    x, y = np.meshgrid(np.arange(left, right, 2.0), np.arange(rear + 1.0, front, 2.0))
    own = shapely.contains_xy(polygon.buffer(-2.0 - seat.blank.round_over_mm), x, y)
    for joint in seat.blank.joints:
        if joint.kind == "spindle":
            for side in (1.0, -1.0):
                own &= np.hypot(x - side * joint.x_mm, y - joint.y_mm) > 0.5 * joint.diameter_mm + 6.0
    return np.asarray(again.depth_mm(x[own], y[own]) - seat.depth_mm(x[own], y[own]))


def manifold(mesh: Any) -> m3.Manifold:
    """Return a mesh of ours or of trimesh as a solid."""
    if isinstance(mesh, Mesh):
        vertices, faces = mesh.vertices_mm, mesh.faces
    else:
        vertices, faces = mesh.vertices, mesh.faces
    out = m3.Manifold(m3.Mesh64(np.array(vertices, float, order="C"), np.array(faces, np.uint64, order="C")))
    assert not out.is_empty()
    return out


def body_of(seat: Seat) -> m3.Manifold:
    """Return the seat as a solid, its mortises cut."""
    return manifold(cut_holes(solid(seat, FINE_MM), joint_cuts(seat.blank)))


def box(size: tuple[float, float, float], at: tuple[float, float, float]) -> m3.Manifold:
    """Return a box about a middle."""
    return m3.Manifold.cube(size, True).translate(at)


def legs(top_mm: float, foot_mm: float, lean: float = 0.0) -> m3.Manifold:
    """Return four legs between two heights, splayed outward, and a stretcher between two."""
    out = m3.Manifold()
    for x, y in LEGS:
        turn = Rotation.from_euler("xyz", [lean * np.sign(y - 200.0), lean * np.sign(x), 0.0], degrees=True)
        leg = m3.Manifold.cylinder(top_mm - foot_mm, 16.0, 18.0, 24).translate((0.0, 0.0, foot_mm - top_mm))
        leg = leg.transform(np.column_stack([turn.as_matrix(), [x, y, top_mm]]))
        out = out + leg
    if foot_mm < -300.0:
        out = out + box((340.0, 22.0, 22.0), (0.0, 210.0 - 125.0, -250.0))
    return out


def blobs(rng: np.random.Generator, count: int, on_seat: bool) -> m3.Manifold:
    """Return lumps that lie about, clear of the seat or on its deck and hollow."""
    out = m3.Manifold()
    for _ in range(count):
        radius = float(rng.uniform(6.0, 18.0))
        if on_seat:
            at = (rng.uniform(-150.0, 150.0), rng.uniform(80.0, 350.0), rng.uniform(0.0, 6.0))
        else:
            angle, far = rng.uniform(0.0, 2.0 * np.pi), rng.uniform(340.0, 520.0)
            at = (far * np.cos(angle), 215.0 + far * np.sin(angle), rng.uniform(-60.0, 90.0))
        lump = m3.Manifold.sphere(radius, 24).scale((1.0, rng.uniform(0.6, 1.5), rng.uniform(0.5, 1.0)))
        out = out + lump.translate(tuple(float(v) for v in at))
    return out


def meshed(body: m3.Manifold, edge_mm: float) -> Mesh:
    """Return a solid's surface in triangles with edges of about a length."""
    mesh = body.refine_to_length(edge_mm).to_mesh64()
    return Mesh(np.asarray(mesh.vert_properties)[:, :3].copy(), np.asarray(mesh.tri_verts).astype(np.int64))


def kept(mesh: Mesh, which: NDArray[np.bool_]) -> Mesh:
    """Return some of the triangles, and the points that they use."""
    faces = mesh.faces[which]
    used, number = np.unique(faces, return_inverse=True)
    return Mesh(mesh.vertices_mm[used], number.reshape(-1, 3))


def seen_from_above(mesh: Mesh, steep: float = 0.0) -> NDArray[np.bool_]:
    """Tell which triangles look up or aside: what a scanner carried round sees of what stands on a table."""
    a, b, c = (mesh.vertices_mm[mesh.faces[:, i]] for i in range(3))
    across = np.cross(b - a, c - a)
    return np.asarray(across[:, 2] > (steep - 0.05) * np.linalg.norm(across, axis=1))


def sampled(mesh: Mesh, count: int, rng: np.random.Generator, uneven: float = 0.0) -> Floats:
    """Return places all over a surface, evenly by area, or up to e^uneven times denser to one side."""
    corners = mesh.vertices_mm[mesh.faces]
    area = 0.5 * np.linalg.norm(
        np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1
    )
    if uneven:
        middle = corners.mean(axis=1)
        run = middle @ rng.normal(size=3)
        area = area * np.exp(uneven * (run - run.min()) / max(float(np.ptp(run)), 1e-9))
    which = rng.choice(len(area), count, p=area / area.sum())
    u, v = rng.random((2, count))
    flip = u + v > 1.0
    u[flip], v[flip] = 1.0 - u[flip], 1.0 - v[flip]
    own = corners[which]
    return np.asarray(own[:, 0] + u[:, None] * (own[:, 1] - own[:, 0]) + v[:, None] * (own[:, 2] - own[:, 0]))


def waves(points: Floats, rng: np.random.Generator, rms_mm: float, length_mm: float = 25.0) -> Floats:
    """Return smooth error of a scan that was put together from views: waves of about a length, as a shift of each."""
    out = np.zeros(len(points))
    for _ in range(24):
        way = rng.normal(size=3)
        way *= 2.0 * np.pi / (length_mm * rng.uniform(0.7, 2.0)) / np.linalg.norm(way)
        out += np.sin(points @ way + rng.uniform(0.0, 2.0 * np.pi))
    return np.asarray(rms_mm * out[:, None] / np.sqrt(12.0) * [0.0, 0.0, 1.0])


def draw_seat(rng: np.random.Generator, carve: Callable[..., Seat]) -> tuple[str, Seat]:
    """Return a shaped seat, no two alike, and what is special about it."""
    outline = str(rng.choice(sorted(OUTLINES)))
    options: dict[str, Any] = {"outline": outline}
    words = [outline]
    if rng.random() < 0.25:
        options |= {"under_bevel_width_mm": 30.0, "under_bevel_height_mm": 18.0}
        words.append("under-bevel")
    if rng.random() < 0.2:
        options |= {"gutter_depth_mm": float(rng.uniform(3.0, 6.0)), "gutter_width_mm": 10.0}
        words.append("gutter")
    if rng.random() < 0.2:
        options |= {"round_over_mm": 4.0}
        words.append("round-over")
    if rng.random() < 0.3:
        options["joints"] = tuple(
            Joint("leg mortise", x, y, 25.0, 12.0, depth_mm=18.0, keep_mm=8.0)
            for x, y in ((160.0, 330.0), (140.0, 80.0))
        )
        words.append("mortises")
    options["deeper_on_the_right_mm"] = float(rng.choice([0.0, 2.0, 3.0]))
    options["front_roll_mm"] = float(rng.choice([0.0, 15.0, 20.0, 25.0]))
    return ", ".join(words), carve(**options)


SCENES = ("alone", "table", "table near", "blobs", "blobs on it", "legs", "legs and floor", "crop", "flyers")
KINDS = ("whole mesh", "mesh from above", "whole points", "points from above")


def draw(seed: int, carve: Callable[..., Seat], scene: str | None = None, kind: str | None = None,
         noise_mm: float | None = None) -> Drawn:  # fmt: skip
    """Return the drawn scan of a seed; what is given is not drawn."""
    rng = np.random.default_rng([17, seed])
    what, seat = draw_seat(rng, carve)
    drawn_scene, drawn_kind = str(rng.choice(SCENES)), str(rng.choice(KINDS))
    scene, kind = scene or drawn_scene, kind or drawn_kind
    drawn_noise = float(rng.choice([0.0, 0.1, 0.3, 0.3]))
    noise = drawn_noise if noise_mm is None else noise_mm
    edge = float(rng.uniform(1.5, 3.0))
    body = staged(body_of(seat), seat, scene, rng)
    mesh = meshed(body, edge)
    if scene in ("table", "table near", "legs and floor"):
        mesh = kept(mesh, table_top_only(mesh, seat))
    if "above" in kind:
        mesh = kept(mesh, seen_from_above(mesh))
    if scene == "crop":
        mesh = kept(mesh, ~cropped(mesh, seat, rng))
    points, faces, mode = mesh.vertices_mm, mesh.faces, ""
    if "points" in kind:
        uneven = float(rng.choice([0.0, 1.5, 2.5]))
        mode = f", uneven x{np.exp(uneven):.0f}" if uneven else ""
        area = trimesh.Trimesh(points, faces, process=False).area
        points = sampled(mesh, int(min(900_000, area / edge**2)), rng, uneven)
        faces = np.zeros((0, 3), dtype=np.int64)
    points = points + rng.normal(0.0, 1.0, points.shape) * noise
    if noise == 0.3 and rng.random() < 0.3:
        points = points + waves(points, rng, 0.05)
        mode += ", waves"
    if scene == "flyers":
        points, faces = with_flyers(points, faces, rng)
    pose_name, pose = draw_pose(rng)
    unit = str(rng.choice(["mm", "mm", "m", "in"]))
    move = rng.uniform(-300.0, 300.0, 3)
    return Drawn(
        f"{seed}: {scene}; {kind}{mode}; noise {noise:g}; {pose_name}; {unit}; {what}",
        seat,
        points @ pose.T + move,
        faces,
        unit,
        scene,
        up=tuple(map(float, pose[:, 2])),  # type: ignore[arg-type]
        front=tuple(map(float, pose[:, 1])),  # type: ignore[arg-type]
    )


def staged(body: m3.Manifold, seat: Seat, scene: str, rng: np.random.Generator) -> m3.Manifold:
    """Return a seat among what stands round it."""
    under = -seat.blank.thickness_mm
    if scene == "table":
        size = (rng.uniform(620.0, 1100.0), rng.uniform(560.0, 900.0))
        return body + box((*size, 20.0), (rng.uniform(-40.0, 40.0), 215.0, under - 9.99))
    if scene == "table near":
        gap = float(rng.uniform(2.0, 30.0))
        return body + box((900.0, 700.0, 20.0), (0.0, 215.0, under - gap - 10.0))
    if scene == "blobs":
        return body + blobs(rng, int(rng.integers(3, 9)), on_seat=False)
    if scene == "blobs on it":
        return body + blobs(rng, int(rng.integers(1, 4)), on_seat=True)
    if scene == "legs":
        foot = under - float(rng.uniform(60.0, 400.0))
        body = body + legs(under + 10.0, foot, float(rng.uniform(0.0, 10.0)))
    elif scene == "legs and floor":
        wide = float(rng.uniform(700.0, 1300.0))
        body = body + legs(under + 10.0, -FLOOR_MM, 8.0)
        body = body + box((wide, wide, 20.0), (0.0, 215.0, -FLOOR_MM - 9.0))
    return body


def table_top_only(mesh: Mesh, seat: Seat) -> NDArray[np.bool_]:
    """Tell which triangles are not the lower side or the sides of the box that stands for a table or floor."""
    z = mesh.vertices_mm[:, 2]
    top = z.min() + 20.0
    high = z[mesh.faces].max(axis=1)
    low = z[mesh.faces].min(axis=1)
    return np.asarray((high > top - 0.1) & (low > top - 1.0))


def cropped(mesh: Mesh, seat: Seat, rng: np.random.Generator) -> NDArray[np.bool_]:
    """Tell which triangles a frame that cut off a quarter of the seat has lost."""
    middle = mesh.vertices_mm[mesh.faces].mean(axis=1)
    side = int(rng.integers(3))
    if side == 0:
        return np.asarray(middle[:, 0] > 0.25 * seat.blank.width_mm)
    if side == 1:
        return np.asarray(middle[:, 1] > 0.75 * seat.blank.depth_mm)
    return np.asarray((middle[:, 0] < 0.0) & (middle[:, 1] > 0.5 * seat.blank.depth_mm))


def with_flyers(points: Floats, faces: Any, rng: np.random.Generator) -> tuple[Floats, Any]:
    """Return a scan with points that no surface made, about the seat and in the air over and under it."""
    count = len(points) // 100
    low, high = points.min(axis=0) - 30.0, points.max(axis=0) + 30.0
    extra = rng.uniform(low, high, (count, 3))
    near = points[rng.integers(len(points), size=count)] + rng.normal(0.0, 3.0, (count, 3))
    extra = np.vstack([extra, near])
    if len(faces):
        # Specks of a mesh: triangles of a millimetre or two.
        corners = extra[:, None, :] + rng.normal(0.0, 1.0, (len(extra), 3, 3))
        more = len(points) + np.arange(3 * len(extra)).reshape(-1, 3)
        return np.vstack([points, corners.reshape(-1, 3)]), np.vstack([faces, more])
    return np.vstack([points, extra]), faces


def draw_pose(rng: np.random.Generator) -> tuple[str, Floats]:
    """Return a pose: z up, y up, or any turn."""
    about = Rotation.from_euler("z", rng.uniform(0.0, 360.0), degrees=True).as_matrix()
    way = int(rng.integers(4))
    if way == 0:
        return "z up", about
    if way == 1:
        return "y up", Rotation.from_euler("x", -90.0, degrees=True).as_matrix() @ about
    if way == 2:
        return "z up, askew", Rotation.from_euler(
            "xy", rng.normal(0.0, 5.0, 2), degrees=True
        ).as_matrix() @ about
    return "any turn", Rotation.random(random_state=int(rng.integers(1 << 30))).as_matrix()


def moved(drawn: Drawn, **changes: Any) -> Drawn:
    """Return a drawn scan with changes."""
    return replace(drawn, **changes)
