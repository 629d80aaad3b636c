"""STEP: the carved seat as an exact solid for CAD programs, unit mm; by the open CAD kernel, an optional extra."""

from __future__ import annotations

import re
import tempfile
from pathlib import Path
from typing import Any

from seatmesh.errors import NotSolvedError
from seatmesh.files.whole_or_nothing import write_bytes
from seatmesh.formats.mesh_attributes import one_line
from seatmesh.formats.registry import format_of, formats_written
from seatmesh.formats.step.kernel import kernel
from seatmesh.formats.step.solid import CadSolid, cad_solid
from seatmesh.surface import Seat

PRODUCT = "seatmesh"
NO_CLOCK = "1970-01-01T00:00:00"
"""Stands where the format asks for the time of writing: the same seat gives the same bytes."""


def step_bytes(seat: Seat, *, name: str = "", joint_holes: bool = False, scale: float = 1.0) -> bytes:
    """Return a seat as a STEP file (ISO 10303-21, AP214), a closed solid in mm in the frame of the blank.

    The hollow is one B-spline face whose parameters are x and y: the seat's own spline behind the front roll, and
    spline plus roll within 5e-7 mm along it; with adjustments a spline on finer knots, within 0.005 mm. Where nothing
    is carved the front roll is a true cylinder, deck, rim, underside and a step at a straight deck line are planes.
    Walls are planes along straight sides, cylinders along arcs, and B-splines within 0.01 mm of the outline's polygon
    along other curves. A gutter is a cylinder or a ring, or a B-spline along the outline; an under-bevel is flat along
    straight sides and a cone round corners. The round along the top edge runs where the wood is uncut. What is not in
    the file its header says. The same seat and name give the same bytes with the same kernel.

    `joint_holes` cuts the holes of joints; `scale` multiplies all lengths, 0.25 for 1:4.

    Raises
    ------
    FileRefusedError
        The CAD kernel is not installed.
    ValueRefusedError
        Adjustments that no spline meets, a spline that ends within the blank, or a bevel wider than the
        outline's free curves are round.
    NotSolvedError
        The kernel found no one valid solid.
    """
    control, static, status = kernel("STEPControl"), kernel("Interface"), kernel("IFSelect")
    _quiet()
    made = cad_solid(seat, joint_holes=joint_holes, scale=scale)
    title = _ascii(name or seat.title)
    writer = control.STEPControl_Writer()
    settings = static.Interface_Static
    settings.SetCVal_s("write.step.schema", "AP214IS")
    settings.SetCVal_s("write.step.unit", "MM")
    settings.SetCVal_s("write.step.product.name", PRODUCT)
    # Readers lay edges onto faces themselves; told twice they take up half of the file.
    settings.SetIVal_s("write.surfacecurve.mode", 0)
    done = status.IFSelect_ReturnStatus.IFSelect_RetDone
    if writer.Transfer(made.body, control.STEPControl_StepModelType.STEPControl_ManifoldSolidBrep) != done:
        raise NotSolvedError("the CAD kernel could not turn the solid into a STEP file; write a mesh.")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "seat.step"
        if writer.Write(str(path)) != done:
            raise NotSolvedError("the CAD kernel could not write a STEP file; is the disk full?")
        return _described(_without_clock(path.read_bytes(), title), remarks(seat, made))


def remarks(seat: Seat, made: CadSolid) -> tuple[str, ...]:
    """Return in words what the solid of a seat leaves out, and how near its hollow face is."""
    near = "within 0.005 mm, adjustments included" if seat.adjustments else "exact to 1e-6 mm"
    words = [f"carved seat, unit mm; hollow face {near}"]
    over = seat.blank.round_over_mm
    if made.is_rounded:
        words.append(f"top edge rounded over by {over:g} mm where nothing else is cut: ease the rest by hand")
    elif over > 0.0:
        words.append(f"top edge left square: round it over by {over:g} mm")
    if seat.blank.joints and not made.has_holes:
        words.append("joint holes are not cut")
    return tuple(words)


def remarks_of(data: bytes) -> tuple[str, ...]:
    """Return the remarks that stand in the header of a STEP file that `step_bytes` made."""
    found = re.search(rb"FILE_DESCRIPTION\(\((.*?)\),'2;1'\);", data, re.DOTALL)
    return tuple(found[1].decode("ascii")[1:-1].split("','")) if found else ()


def _described(data: bytes, said: tuple[str, ...]) -> bytes:
    """Put into the header what the file holds."""
    words = "','".join(said)
    entry = f"FILE_DESCRIPTION(('{words}'),'2;1');".encode("ascii")
    return re.sub(rb"FILE_DESCRIPTION\(.*?\);", lambda _: entry, data, count=1, flags=re.DOTALL)


def write_step(
    seat: Seat, path: str | Path, *, name: str = "", joint_holes: bool = False, scale: float = 1.0
) -> tuple[str, ...]:
    """Write a seat to `path`, which ends in .step or .stp, and return what its header says; see `step_bytes`.

    Raises
    ------
    FileRefusedError
        The CAD kernel is not installed, or the file cannot be written.
    ValueRefusedError, NotSolvedError
        As `step_bytes`; the first for another suffix too.

    Examples
    --------
    >>> from seatmesh import flat_seat, write_step
    >>> write_step(flat_seat(), "seat.step")[0]
    'carved seat, unit mm; hollow face exact to 1e-6 mm'
    """
    format_of(Path(path).suffix, formats_written("cad"), "suffix of a STEP file")
    data = step_bytes(seat, name=name, joint_holes=joint_holes, scale=scale)
    write_bytes(path, data)
    return remarks_of(data)


def _quiet() -> None:
    """Keep the kernel's own messages off standard output, where others read results."""
    messages: Any = kernel("Message").Message
    for printer in list(messages.DefaultMessenger_s().Printers()):
        printer.SetTraceLevel(kernel("Message").Message_Gravity.Message_Fail)


def _without_clock(data: bytes, title: str) -> bytes:
    """Put the seat's own name, and no time, into the header's file name, and state the unit there."""
    entry = f"FILE_NAME('{title} (mm)','{NO_CLOCK}',('seatmesh'),(''),'','seatmesh','');".encode("ascii")
    fixed, count = re.subn(rb"FILE_NAME\(.*?\);", lambda _: entry, data, count=1, flags=re.DOTALL)
    # The kernel numbers the products that one process writes.
    product = f"PRODUCT('{title}','{title}',".encode("ascii")
    numbered = rf"PRODUCT\('{PRODUCT}[ 0-9]*','{PRODUCT}[ 0-9]*',".encode("ascii")
    fixed, named = re.subn(numbered, lambda _: product, fixed)
    if (count, named) != (1, 1):
        raise NotSolvedError("the CAD kernel wrote a STEP file without header or product; write a mesh.")
    return fixed


def _ascii(name: str) -> str:
    """Return a name as STEP's strings take it: ASCII, without their quote and backslash."""
    plain = one_line(name.encode("ascii", "replace").decode("ascii"))
    return plain.replace("'", "").replace("\\", "") or "seat"
