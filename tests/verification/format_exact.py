"""The formats that are no triangles, read back: STEP by the CAD kernel, height maps by picture and number readers."""

from __future__ import annotations

import importlib
import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from seatmesh.formats.height_map import write_height_map
from seatmesh.formats.step.writer import write_step
from seatmesh.surface import Seat

Floats = NDArray[np.float64]
SPACING_MM = 1.0
STEP_NAME = "seat_mm.step"


@dataclass(frozen=True)
class Solid:
    """What a reader says of a solid; `closed` and `oriented` are None where the format has no such thing."""

    low_mm: Floats
    high_mm: Floats
    volume_mm3: float
    unit: bool
    closed: bool | None = None
    oriented: bool | None = None


def step_by_cad_kernel(seat: Seat, folder: Path) -> Solid:
    """Read the STEP file with a fresh reader: its own checks, its own integral, its own box."""

    def ocp(module: str) -> Any:
        return importlib.import_module(f"OCP.{module}")

    ocp("gp")
    path = folder / STEP_NAME
    write_step(seat, path, joint_holes=bool(seat.blank.joints))
    reader = ocp("STEPControl").STEPControl_Reader()
    reader.ReadFile(str(path))
    reader.TransferRoots()
    body = reader.OneShape()
    shell = ocp("TopExp").TopExp_Explorer(body, ocp("TopAbs").TopAbs_ShapeEnum.TopAbs_SHELL).Current()
    held, box = ocp("GProp").GProp_GProps(), ocp("Bnd").Bnd_Box()
    ocp("BRepGProp").BRepGProp.VolumeProperties_s(body, held, 1e-5, True, False)
    box.SetGap(0.0)
    ocp("BRepBndLib").BRepBndLib.AddOptimal_s(body, box, False, False)
    low, high = box.CornerMin(), box.CornerMax()
    return Solid(
        np.array([low.X(), low.Y(), low.Z()]),
        np.array([high.X(), high.Y(), high.Z()]),
        float(held.Mass()),
        b"SI_UNIT(.MILLI.,.METRE.)" in path.read_bytes(),
        closed=bool(ocp("BRep").BRep_Tool.IsClosed_s(shell)),
        oriented=bool(ocp("BRepCheck").BRepCheck_Analyzer(body).IsValid()) and held.Mass() > 0.0,
    )


def height_map_by_pillow(seat: Seat, folder: Path) -> Solid:
    from PIL import Image

    path = folder / "seat_mm.png"
    write_height_map(seat, path, SPACING_MM)
    picture = Image.open(path)
    words = dict(picture.text)  # type: ignore[attr-defined]
    level = float(words["mm per level"].split(",")[0])
    pixel = [float(number) for number in re.findall(r"[\d.]+", words["mm per pixel"])]
    z = level * (np.asarray(picture, dtype=float) - 65535.0)
    return _from_grid(z, words, (pixel[0], pixel[1]), seat)


def height_map_by_vtk(seat: Seat, folder: Path) -> Solid:
    import pyvista

    path = folder / "seat_mm.png"
    write_height_map(seat, path, SPACING_MM)
    read = pyvista.read(path)
    columns, rows, _ = read.dimensions
    # VTK counts rows from the bottom of the picture and knows no text.
    z = 0.001 * (np.asarray(read.active_scalars, dtype=float).reshape(rows, columns)[::-1] - 65535.0)
    low, high = seat.blank.polygon_mm().min(axis=0), seat.blank.polygon_mm().max(axis=0)
    across, along = (high - low) / (columns, rows)
    words = {"unit": "mm", "x of columns": f"{low[0] + across / 2}", "y of rows": f"{high[1] - along / 2}"}
    return _from_grid(z, words, (across, along), seat)


def grid_by_numpy(seat: Seat, folder: Path) -> Solid:
    path = folder / "seat_mm.txt"
    write_height_map(seat, path, SPACING_MM)
    lines = [line[2:].split(": ", 1) for line in path.read_text().splitlines() if line.startswith("# ")]
    words = dict(lines)
    pixel = [float(number) for number in re.findall(r"[\d.]+", words["mm per pixel"])]
    return _from_grid(np.loadtxt(path), words, (pixel[0], pixel[1]), seat)


def _from_grid(z: Floats, words: dict[str, str], pixel: tuple[float, float], seat: Seat) -> Solid:
    """Sum the wood under the pixels whose middles lie inside the outline."""
    import shapely

    rows, columns = z.shape
    x = float(words["x of columns"].split()[0]) + pixel[0] * np.arange(columns)
    y = float(words["y of rows"].split()[0]) - pixel[1] * np.arange(rows)
    outline = shapely.Polygon(seat.blank.polygon_mm())
    inside = shapely.contains_xy(outline, *(a.ravel() for a in np.meshgrid(x, y))).reshape(z.shape)
    wood = float(((seat.blank.thickness_mm + z) * inside).sum() * pixel[0] * pixel[1])
    low = np.array([x[0] - pixel[0] / 2, y[-1] - pixel[1] / 2, -seat.blank.thickness_mm])
    high = np.array([x[-1] + pixel[0] / 2, y[0] + pixel[1] / 2, z.max()])
    return Solid(low, high, wood, words["unit"] == "mm")


Exact = Callable[[Seat, Path], Solid]

EXACT: dict[str, dict[str, Exact]] = {
    "STEP": {"CAD kernel": step_by_cad_kernel},
    "height PNG": {"Pillow": height_map_by_pillow, "VTK": height_map_by_vtk},
    "height text": {"NumPy": grid_by_numpy},
}
