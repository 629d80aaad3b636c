"""Programs of other makers that makers use, run without a window: a slicer, a CAD program, and the glTF validator.

Slicer and CAD program are Debian's: `apt-get install --no-install-recommends prusa-slicer freecad-python3`. The CAD
program reads STEP by the open kernel's release 7.6.3. Our files are written by release 8.0 of that same kernel, so the
two readers are of one family, years apart; no Debian program is known to read STEP by other hands. The validator is the
reference one of the standard's makers; npm brings it into a folder of its own. A program that is not there raises
ImportError, which says what to install.
"""

from __future__ import annotations

import atexit
import json
import os
import re
import shutil
import subprocess
import tempfile
from collections.abc import Callable
from functools import lru_cache
from pathlib import Path

import numpy as np
from format_exact import Solid

SLICER, CAD = "prusa-slicer", "freecadcmd"
PACKAGES = {SLICER: "prusa-slicer", CAD: "freecad-python3", "node": "nodejs", "npm": "npm"}
SCALE = 0.25
"""Whole seats fit the slicer's usual bed, 200 x 200 mm, at a quarter."""
MOST_SECONDS = 300
NO_FAULT = r"manifold = yes|number_of_facets = \d+"
FAULT = (
    r"repair|hole|manifold|degenerate|open_edge|facets_|backwards|edges_fixed|warn|error|fail|empty|outside"
)
"""What the slicer says of a mesh that it had to mend, or that it cannot use."""
_GENTLE = {"OMP_NUM_THREADS": "1", "QT_QPA_PLATFORM": "offscreen"}


def program(name: str) -> str:
    """Return where a program is."""
    found = shutil.which(name)
    if found is None:
        raise ImportError(f"{name} is missing: apt-get install {PACKAGES[name]}", name=name)
    return found


def _said(*command: str | Path, **more: str) -> str:
    """Run a program and return all that it says; a failure is an error with its words."""
    told = subprocess.run(
        [str(one) for one in command], capture_output=True, text=True, timeout=MOST_SECONDS, check=False,
        env={**os.environ, **_GENTLE, **more},
    )  # fmt: skip
    said = told.stdout + told.stderr
    if told.returncode != 0:
        raise ValueError(f"{Path(command[0]).name} ended with {told.returncode}: {said.strip()[-200:]}")
    return said


def slicer_faults(said: str) -> list[str]:
    """Return those lines of the slicer that speak of faults."""
    lines = [line for line in said.splitlines() if not re.fullmatch(NO_FAULT, line.strip())]
    # Lines of its own log begin with the time; a line in brackets is the file's name.
    lines = [line for line in lines if not re.match(r"\[.*\](\s+\[0x\w+\] \[trace\].*)?$", line)]
    return [line for line in lines if re.search(FAULT, line, re.IGNORECASE)]


def by_slicer(path: Path) -> Solid:
    """Return the size that the slicer finds in a file; raise ValueError for any word of a fault."""
    said = _said(program(SLICER), "--info", path)
    if faults := slicer_faults(said):
        raise ValueError("; ".join(faults))
    found = {key: float(number) for key, number in re.findall(r"(\w+) =\s+([-+.\de]+)", said)}
    low, high = (np.array([found[f"{end}_{axis}"] for axis in "xyz"]) for end in ("min", "max"))
    one = found["number_of_parts"] == 1.0
    return Solid(low, high, found["volume"], True, closed="manifold = yes" in said, oriented=one)


def sliced_mm3(path: Path, scale: float = SCALE) -> float:
    """Slice a file full of plastic and return how much of it, over the cube of the scale; raise for any complaint."""
    with tempfile.TemporaryDirectory() as folder:
        to = Path(folder) / "seat.gcode"
        options = ("--fill-density", "100%", "--fill-pattern", "rectilinear", "--skirts", "0")
        said = _said(program(SLICER), "--export-gcode", *options, "--scale", f"{scale}", "-o", to, path)
        if faults := slicer_faults(said):
            raise ValueError("; ".join(faults))
        found = re.search(r"filament used \[cm3\] = ([\d.]+)", to.read_text())
        if found is None:
            raise ValueError("the slicer's file tells of no plastic")
        return 1000.0 * float(found[1]) / scale**3


_ASKED = """
import os, Part
body = Part.Shape()
body.read(os.environ["SEAT_STEP"])
body.check()
box = body.optimalBoundingBox()
ends = [box.XMin, box.YMin, box.ZMin, box.XMax, box.YMax, box.ZMax]
print("FOUND", len(body.Solids), int(body.isValid()), int(body.isClosed()), body.Volume, *ends)
"""


def by_cad_program(path: Path) -> Solid:
    """Return what the CAD program finds in a STEP file; raise ValueError for anything else that it says."""
    with tempfile.TemporaryDirectory() as folder:
        asked = Path(folder) / "asked.py"
        asked.write_text(_ASKED)
        said = _said(program(CAD), asked, SEAT_STEP=str(path))
    found = re.search(r"^FOUND (.*)$", said, re.MULTILINE)
    if found is None or re.search(r"warn|error|exception|fail", said, re.IGNORECASE):
        raise ValueError(said.strip()[-200:])
    solids, valid, closed, volume, *ends = map(float, found[1].split())
    whole = bool(valid) and solids == 1.0
    return Solid(np.array(ends[:3]), np.array(ends[3:]), volume, True, closed=bool(closed), oriented=whole)


_VALIDATE = """
const validator = require('gltf-validator'), fs = require('fs');
validator.validateBytes(new Uint8Array(fs.readFileSync(process.argv[2])))
  .then(report => console.log(JSON.stringify(report.issues)));
"""


@lru_cache(maxsize=1)
def _validator() -> Path:
    """Have npm put the validator into a folder that goes when Python ends; return the script that asks it."""
    node, npm = program("node"), program("npm")
    folder = Path(tempfile.mkdtemp(prefix="gltf-validator-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    try:
        _said(
            npm,
            "install",
            "--no-audit",
            "--no-fund",
            "--ignore-scripts",
            "--prefix",
            folder,
            "gltf-validator",
        )
    except (ValueError, subprocess.TimeoutExpired) as error:
        raise ImportError(f"npm brings no gltf-validator: {error}", name="gltf-validator") from error
    assert node
    script = folder / "validate.js"
    script.write_text(_VALIDATE)
    return script


def gltf_faults(path: Path) -> list[str]:
    """Return the errors and warnings of the glTF validator."""
    issues = json.loads(_said(program("node"), _validator(), path))
    return [f"{one['code']}: {one['message']}" for one in issues["messages"] if one["severity"] <= 1]


PROGRAMS: dict[str, dict[str, Callable[[Path], Solid]]] = {
    "STL binary": {"PrusaSlicer": by_slicer},
    "STL text": {"PrusaSlicer": by_slicer},
    "OBJ": {"PrusaSlicer": by_slicer},
    "3MF": {"PrusaSlicer": by_slicer},
    "STEP": {"FreeCAD": by_cad_program},
}
"""What the slicer is not asked: it reads neither PLY nor GLB, and its STEP reader is FreeCAD's."""
