"""Print what STEP files of sixteen seats are: seconds, size, faults on re-reading, box, and volume beside the mesh's.

Run it by hand; it needs the CAD kernel and takes about two minutes.
"""

from __future__ import annotations

import importlib
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

from solid_seats import SEATS

from seatmesh.errors import SeatmeshError
from seatmesh.formats.step.writer import step_bytes
from seatmesh.mesh import volume_mm3
from seatmesh.solids.carved import solid
from seatmesh.surface import Seat


def ocp(module: str) -> Any:
    """Return a module of the kernel."""
    return importlib.import_module(f"OCP.{module}")


def read_back(data: bytes) -> Any:
    """Return the shape that a STEP file holds."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "seat.step"
        path.write_bytes(data)
        reader = ocp("STEPControl").STEPControl_Reader()
        reader.ReadFile(str(path))
        reader.TransferRoots()
        return reader.OneShape()


def line(seat: Seat) -> str:
    """Return a seat's row."""
    start = time.process_time()
    try:
        data = step_bytes(seat)
    except SeatmeshError as error:
        return f"refused: {error}"
    took = time.process_time() - start
    shape = read_back(data)
    box, held = ocp("Bnd").Bnd_Box(), ocp("GProp").GProp_GProps()
    ocp("BRepBndLib").BRepBndLib.AddOptimal_s(shape, box, False, False)
    ocp("BRepGProp").BRepGProp.VolumeProperties_s(shape, held, 1e-6)
    valid = ocp("BRepCheck").BRepCheck_Analyzer(shape).IsValid()
    beside = 1e6 * (held.Mass() / volume_mm3(solid(seat)) - 1.0)
    return (
        f"{took:5.1f} s {len(data) / 1e6:5.2f} MB  {'no fault' if valid else 'FAULTY':8}  "
        f"top {box.CornerMax().Z():+.4f} mm  volume {beside:+6.0f} ppm of the mesh's"
    )


if __name__ == "__main__":
    for name, make in SEATS.items():
        sys.stdout.write(f"{name:40.40} {line(make())}\n")
        sys.stdout.flush()
