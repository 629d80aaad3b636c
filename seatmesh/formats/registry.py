"""All file formats, one entry each: what the command line, the service, its document and the page say and do of them.

A new format is one module with its reader or writer, and one entry here. Readers and writers are named as text and
loaded when they are used, so that looking at this table costs nothing.
"""

from __future__ import annotations

import importlib
import importlib.util
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any, Literal

from seatmesh.errors import NotAmongError
from seatmesh.units import shown

Kind = Literal["mesh", "cad", "heights", "points"]
"""A closed mesh, an exact CAD solid, a height map, or a list of points."""
MB = 1_000_000


@dataclass(frozen=True)
class Format:
    """One file format.

    Attributes
    ----------
    suffix
        With its dot, in small letters.
    kind
        What the file holds.
    label, use
        Its name, and what a maker takes it for.
    media_type
        As HTTP states it.
    unit
        What the numbers of a written file are; "" where nothing is written.
    states_unit
        Whether the file says its unit itself; else its name should.
    is_text
        Whether the file is text, which packing makes several times smaller.
    coloured
        Whether it takes pressures and colours at the vertices.
    saved_as
        The suffix that other programs know it by.
    writer, reader
        ``module:function`` below `seatmesh.formats`; "" where the project does not write, or read, it. A mesh writer
        takes (mesh, name, attributes) and returns bytes; a reader takes (data, where) and returns `Raw`.
    largest_bytes
        The largest file that is read: any such file is read or refused within a few seconds and 1 GiB.
    needs
        The optional package that writing needs.

    Examples
    --------
    >>> from seatmesh import formats_written
    >>> stl = formats_written("mesh")[".stl"]
    >>> stl.label, stl.unit, stl.states_unit
    ('STL', 'mm', False)
    """

    suffix: str
    kind: Kind
    label: str
    use: str
    media_type: str
    unit: str = "mm"
    states_unit: bool = False
    is_text: bool = False
    coloured: bool = False
    saved_as: str = ""
    writer: str = ""
    reader: str = ""
    largest_bytes: int = 0
    needs: str = ""

    @property
    def name(self) -> str:
        """The suffix without its dot."""
        return self.suffix.removeprefix(".")

    @property
    def at_hand(self) -> bool:
        """Whether what writing needs is installed."""
        return not self.needs or importlib.util.find_spec(self.needs) is not None

    def write_with(self) -> Callable[..., Any]:
        """Return the writer."""
        return _function(self.writer)

    def read_with(self) -> Callable[..., Any]:
        """Return the reader."""
        return _function(self.reader)


FORMATS = (
    Format(".3mf", "mesh", "3MF", "for 3D printers; it holds its unit", "model/3mf", states_unit=True,
           writer="threemf.writer:threemf_file", reader="threemf.reader:read_3mf", largest_bytes=30 * MB),
    Format(".stl", "mesh", "STL", "for almost every program", "model/stl",
           writer="stl.writer:stl_file", reader="stl.reader:read_stl", largest_bytes=80 * MB),
    Format(".stla", "mesh", "STL as text", "for the rare program that asks for it", "model/stl", is_text=True,
           saved_as=".stl", writer="stl.writer:stl_text_file"),
    Format(".obj", "mesh", "OBJ", "for modelling programs", "model/obj", is_text=True,
           writer="obj.writer:obj_file", reader="obj.reader:read_obj", largest_bytes=30 * MB),
    Format(".ply", "mesh", "PLY", "for measuring programs", "application/octet-stream", coloured=True,
           writer="ply.writer:ply_bytes", reader="ply.reader:read_ply", largest_bytes=80 * MB),
    Format(".glb", "mesh", "GLB", "to look at on a screen", "model/gltf-binary", unit="m", states_unit=True,
           coloured=True, writer="glb.writer:glb_bytes", reader="glb.reader:read_glb", largest_bytes=80 * MB),
    Format(".step", "cad", "STEP", "for CAD: the exact surface", "model/step", states_unit=True, is_text=True,
           writer="step.writer:step_bytes", needs="OCP"),
    Format(".stp", "cad", "STEP", "for CAD: the exact surface", "model/step", states_unit=True, is_text=True,
           saved_as=".step", writer="step.writer:step_bytes", needs="OCP"),
    Format(".png", "heights", "height map as a picture", "for milling programs, 16 bit", "image/png",
           writer="height_map:height_map_png"),
    Format(".txt", "heights", "height map as numbers", "for milling programs", "text/plain; charset=utf-8",
           is_text=True, writer="height_map:height_map_lines"),
    Format(".pcd", "points", "PCD", "from a scanner", "application/octet-stream", unit="",
           reader="points.pcd:read_pcd", largest_bytes=60 * MB),
    Format(".csv", "points", "points as CSV", "from a scanner", "text/csv; charset=utf-8", unit="", is_text=True,
           reader="points.point_list:read_points", largest_bytes=40 * MB),
    Format(".txt", "points", "points as text", "from a scanner", "text/plain; charset=utf-8", unit="", is_text=True,
           reader="points.point_list:read_points", largest_bytes=40 * MB),
    Format(".xyz", "points", "points as text", "from a scanner", "text/plain; charset=utf-8", unit="", is_text=True,
           reader="points.point_list:read_points", largest_bytes=40 * MB),
)  # fmt: skip


def formats_written(*kinds: Kind) -> dict[str, Format]:
    """Return the formats that are written, by their suffix; of some kinds, or of all.

    Examples
    --------
    >>> from seatmesh import formats_written
    >>> ".3mf" in formats_written("mesh"), ".step" in formats_written("cad")
    (True, True)
    """
    return {one.suffix: one for one in FORMATS if one.writer and (not kinds or one.kind in kinds)}


def formats_read() -> dict[str, Format]:
    """Return the formats that a scan may have, by their suffix.

    Examples
    --------
    >>> from seatmesh import formats_read
    >>> ".stl" in formats_read(), ".step" in formats_read()
    (True, False)
    """
    return {one.suffix: one for one in FORMATS if one.reader}


def format_of(suffix: str, among: dict[str, Format], what: str) -> Format:
    """Return the format with a suffix, with or without its dot, in any case.

    Raises
    ------
    ValueRefusedError
        None among them has it; `what` names the file in the error.
    """
    found = among.get("." + suffix.lower().removeprefix("."))
    if found is None:
        given = shown(suffix) if suffix else "no suffix"
        raise NotAmongError(what, given, [listed(among)])
    return found


def listed(names: Iterable[str]) -> str:
    """Return names in words: a, b and c."""
    *others, last = names
    return f"{', '.join(others)} and {last}" if others else last


def _function(reference: str) -> Callable[..., Any]:
    module, _, name = reference.partition(":")
    function: Callable[..., Any] = getattr(importlib.import_module(f"seatmesh.formats.{module}"), name)
    return function
