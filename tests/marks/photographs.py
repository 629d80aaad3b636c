"""Photographs drawn by chance, with their truth: blank, camera, known points as a maker measures and points at them.

The camera is a pinhole anywhere over the blank with the radial polynomial that lenses are told by. It goes from
places to pixels, by a polynomial in the distance over the focal length; the tool goes from pixels to places by a
quotient, about the middle of the image in half diagonals.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seatmesh.marks.camera_marks import CameraMarks, camera_marks
from seatmesh.marks.known_points import KnownPoint
from seatmesh.marks.photograph import SeenMark
from seatmesh.marks.suggested_points import suggested_points
from seatmesh.wood.blank import Blank

BLANKS = (
    Blank(outline="straight-sided"),
    Blank(width_mm=430.0, depth_mm=390.0, outline="straight-sided"),
    Blank(width_mm=560.0, depth_mm=460.0),
    Blank(outline="D-shaped"),
    Blank(outline="tapered to the rear", corner_radius_mm=0.0),
    Blank(width_mm=400.0, depth_mm=400.0, outline="waisted"),
)
SIZES = ((4000, 3000), (3000, 4000), (8160, 6144), (1920, 1440))
MARKS = (
    ("sit bone", "left", (-58.0, 152.0)),
    ("sit bone", "right", (61.0, 149.0)),
    ("end of the spine", "middle", (2.0, 92.0)),
    ("hip end", "left", (-168.0, 165.0)),
    ("outer thigh line", "right", (130.0, 330.0)),
    ("inner thigh line", "left", (-22.0, 290.0)),
)
CROSSES = ((-110.0, 110.0), (110.0, 110.0), (110.0, 320.0), (-110.0, 320.0))


@dataclass(frozen=True)
class Pinhole:
    """Size of the image, px; focal length in half diagonals; k1 over the focal length squared, as is usual.

    `tilt_deg` from the vertical, seen from `from_deg` off the front; `turn_deg` about the line of sight; `fill` is how
    much of the image the blank takes, along the side that is fuller; `off_px` where the lens's axis meets the image.
    """

    size_px: tuple[int, int] = (4000, 3000)
    focal: float = 1.3
    k1: float = 0.0
    tilt_deg: float = 20.0
    from_deg: float = 0.0
    turn_deg: float = 0.0
    fill: float = 0.85
    off_px: tuple[float, float] = (0.0, 0.0)

    def over(self, outline_mm: np.ndarray) -> Photo:
        """Return the photograph of a blank, from as far as makes it fill the image so."""
        tilt, away, turn = np.radians([self.tilt_deg, self.from_deg, self.turn_deg])
        # Held on the front's side, looking down and to the rear; the top of the image is the blank's rear.
        down = np.array([np.sin(tilt) * np.sin(away), -np.sin(tilt) * np.cos(away), -np.cos(tilt)])
        # Left and right of the image are the sitter's right and left, for it is seen from the front.
        right = np.cross(down, np.array([0.0, -1.0, 0.0]))
        right /= np.linalg.norm(right)
        below = np.cross(down, right)
        right, below = (
            np.cos(turn) * right + np.sin(turn) * below,
            -np.sin(turn) * right + np.cos(turn) * below,
        )
        middle = 0.5 * (outline_mm.min(axis=0) + outline_mm.max(axis=0))
        half = 0.5 * np.array(self.size_px)
        for distance in np.arange(250.0, 4000.0, 10.0):
            photo = Photo(self, np.stack([right, below, down]), middle, float(distance))
            if np.abs((photo.pixels(outline_mm) - half) / half).max() < self.fill and photo.is_sound(
                outline_mm
            ):
                return photo
        raise AssertionError("the blank fits into no such image")


@dataclass(frozen=True)
class Photo:
    """A camera at its place."""

    camera: Pinhole
    axes: np.ndarray
    middle_mm: np.ndarray
    distance_mm: float

    def rays(self, places_mm: np.ndarray) -> np.ndarray:
        seen = (
            np.column_stack([np.asarray(places_mm, float) - self.middle_mm, np.zeros(len(places_mm))])
            @ self.axes.T
        )
        return seen[:, :2] / (seen[:, 2:] + self.distance_mm)

    def pixels(self, places_mm: np.ndarray) -> np.ndarray:
        """Return pixels of places on the blank, shape (n, 2)."""
        ray, camera = self.rays(places_mm), self.camera
        size = np.array(camera.size_px)
        bend = 1.0 + camera.k1 * (ray**2).sum(axis=1)
        focal_px = camera.focal * 0.5 * np.hypot(*size)
        return 0.5 * size + np.array(camera.off_px) + focal_px * ray * bend[:, None]

    def is_sound(self, places_mm: np.ndarray) -> bool:
        """Tell whether the lens still shows places farther out farther out."""
        return bool(np.all(1.0 + 3.0 * self.camera.k1 * (self.rays(places_mm) ** 2).sum(axis=1) > 0.4))


@dataclass(frozen=True)
class Given:
    """What the maker gives, and the truth: marks' places."""

    blank: Blank
    photo: Photo
    known: list[KnownPoint]
    edge: list[tuple[float, float]]
    seen: list[SeenMark]
    truth: np.ndarray

    def found(self) -> CameraMarks:
        return camera_marks(self.known, self.edge, self.seen, self.blank, self.photo.camera.size_px)

    def off_mm(self, found: CameraMarks) -> np.ndarray:
        got = np.array([(one.mark.x_mm, one.mark.y_mm) for one in found.marks])
        return np.hypot(*(got - self.truth).T)


def drawn_camera(rng: np.random.Generator, size: tuple[int, int]) -> Pinhole:
    diagonal = float(np.hypot(*size))
    return Pinhole(
        size_px=size,
        focal=float(rng.uniform(1.05, 1.9)),
        k1=float(rng.uniform(-0.25, 0.1)),
        tilt_deg=float(rng.uniform(0.0, 45.0)),
        from_deg=float(rng.uniform(-180.0, 180.0)),
        turn_deg=float(rng.uniform(-25.0, 25.0)),
        fill=float(rng.uniform(0.7, 0.97)),
        off_px=(float(rng.normal(0.0, 0.005 * diagonal)), float(rng.normal(0.0, 0.005 * diagonal))),
    )


def drawn(
    seed: int, *, crosses: int = 4, edge: int = 8, suggested: int | None = None, camera: Pinhole | None = None
) -> Given:
    """Return a photograph by chance: pointing is off by a 5,000th of the diagonal, measuring by 0.5 mm each way."""
    rng = np.random.default_rng(seed)
    blank = BLANKS[seed % len(BLANKS)]
    camera = camera or drawn_camera(rng, SIZES[rng.integers(len(SIZES))])
    outline = blank.polygon_mm()
    photo = camera.over(outline)
    noise_px = max(0.8, float(np.hypot(*camera.size_px)) / 5000.0)

    def pointed(place: tuple[float, float] | np.ndarray) -> tuple[float, float]:
        u, v = photo.pixels(np.array([place]))[0] + rng.normal(0.0, noise_px, 2)
        return float(u), float(v)

    places = [
        *suggested_points(blank)[:suggested],
        *((f"cross {k}", at) for k, at in enumerate(CROSSES[:crosses])),
    ]
    # A cross lies where the maker drew it, which is not quite where the tape says.
    known = [KnownPoint(name, pointed(np.array(at) + rng.normal(0.0, 0.5, 2)), at) for name, at in places]
    along = np.sort(rng.uniform(0.0, 1.0, edge)) * len(outline)
    edges = [pointed(on_outline(outline, float(one))) for one in along]
    marks = [SeenMark(name, side, pointed(at)) for name, side, at in MARKS]  # type: ignore[arg-type]
    return Given(blank, photo, known, edges, marks, np.array([at for *_, at in MARKS]))


def on_outline(outline: np.ndarray, at: float) -> np.ndarray:
    """Return a point of the outline: `at` is the number of its vertex and the share of the way to the next."""
    k, share = int(at) % len(outline), at % 1.0
    return (1.0 - share) * outline[k] + share * outline[(k + 1) % len(outline)]
