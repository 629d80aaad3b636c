"""3MF: a zip with an XML model in it, which states its unit.

Read with the standard library's zip and expat, both behind limits: a document type (and with it every entity, inside
or outside the file) is refused before it can do anything. A tree of the standard library's takes twice the time, one of
lxml's 1.3 times; trimesh takes 0.8 of it and needs lxml and networkx installed (`tests/benchmarks/libraries.py`).
"""

from __future__ import annotations

import io
import zipfile
from typing import NoReturn
from xml.parsers import expat

import numpy as np
from numpy.typing import NDArray

from seatmesh.arrays import Floats
from seatmesh.errors import FileRefusedError
from seatmesh.formats.scan_contents import (
    MOST_FACETS,
    THINNER,
    Raw,
    no_faces,
    refuse_long,
    refuse_many,
    refusing,
)

LARGEST_XML_BYTES = 30_000_000
LARGEST_DIRECTORY_BYTES = 200_000
END_BYTES = 22
LONGEST_TAG = 50_000
DEEPEST_XML = 50
DEEPEST = 8
MOST_PLACED = 1000
UNITS = {"micron": "um", "millimeter": "mm", "centimeter": "cm", "inch": "in", "foot": "ft", "meter": "m"}


def read_3mf(data: bytes, where: str) -> Raw:
    """Return all objects that a 3MF file builds, where it builds them."""
    with refusing(where, "3MF"):
        _check_directory(data, where)
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            xml = _model(archive, where)
        model = _Model(where)
        model.parse(xml)
        return model.raw()


def _check_directory(data: bytes, where: str) -> None:
    """Refuse a directory of the zip that would take long to take in."""
    at = data.rfind(b"PK\5\6")
    if at < 0 or len(data) < at + END_BYTES:
        raise FileRefusedError(
            f"{where} breaks off or is no 3MF: the end of its zip is missing; save it again."
        )
    size = int.from_bytes(data[at + 12 : at + 16], "little")
    if size > LARGEST_DIRECTORY_BYTES or data[at - 20 : at - 16] == b"PK\6\7":
        raise FileRefusedError(f"{where} holds too many files for a 3MF of a seat; save the seat alone.")


def _model(archive: zipfile.ZipFile, where: str) -> bytes:
    names = [name for name in archive.namelist() if name.lower().endswith(".model")]
    if not names:
        raise FileRefusedError(f"{where} holds no model; is it a 3MF file?")
    name = min(names, key=lambda one: (one.lower().lstrip("/") != "3d/3dmodel.model", one))
    if archive.getinfo(name).file_size > LARGEST_XML_BYTES:
        _too_large(where)
    with archive.open(name) as file:
        # What the directory says may be a lie.
        xml = file.read(LARGEST_XML_BYTES + 1)
    if len(xml) > LARGEST_XML_BYTES:
        _too_large(where)
    return xml


def _too_large(where: str) -> NoReturn:
    raise FileRefusedError(f"{where} unpacks to more than {LARGEST_XML_BYTES} bytes of model; {THINNER}.")


class _Model:
    """The objects of a model, gathered while its XML goes by."""

    def __init__(self, where: str) -> None:
        self.where = where
        self.unit = "millimeter"
        self.points: dict[str, list[float]] = {}
        self.faces: dict[str, list[int]] = {}
        self.components: dict[str, list[tuple[str, Floats]]] = {}
        self.items: list[tuple[str, Floats]] = []
        self.current = ""
        self.placed = 0
        self.depth = 0

    def parse(self, xml: bytes) -> None:
        refuse_long(self.where, xml, b"<", LONGEST_TAG, "an XML element")
        parser = expat.ParserCreate(namespace_separator=" ")
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        parser.StartDoctypeDeclHandler = self._refuse_doctype
        parser.EntityDeclHandler = self._refuse_doctype
        parser.ExternalEntityRefHandler = self._refuse_doctype
        parser.Parse(xml, True)

    def _refuse_doctype(self, *_given: object) -> NoReturn:
        raise FileRefusedError(
            f"{self.where}: its XML brings a document type or entities of its own, which no 3MF needs; save it again."
        )

    def _start(self, name: str, given: dict[str, str]) -> None:
        self.depth += 1
        if self.depth > DEEPEST_XML:
            raise ValueError("its XML is nested too deeply")
        tag = name.rpartition(" ")[2]
        if tag == "vertex":
            self.points[self.current] += (float(given["x"]), float(given["y"]), float(given["z"]))
        elif tag == "triangle":
            self.faces[self.current] += (int(given["v1"]), int(given["v2"]), int(given["v3"]))
        elif tag == "object":
            self.current = given["id"]
            if self.current in self.points:
                raise ValueError("two objects have one id")
            self.points[self.current], self.faces[self.current] = [], []
            self.components[self.current] = []
        elif tag in ("component", "item"):
            if any(key.rpartition(" ")[2] == "path" for key in given):
                raise FileRefusedError(
                    f"{self.where} refers to a model in another file; save it as one model."
                )
            placed = (given["objectid"], _transform(given.get("transform")))
            (self.components[self.current] if tag == "component" else self.items).append(placed)
        elif tag == "model":
            self.unit = given.get("unit", "millimeter")

    def _end(self, _name: str) -> None:
        self.depth -= 1

    def raw(self) -> Raw:
        """Return all that is built as one mesh."""
        if self.unit not in UNITS:
            raise ValueError(f"its unit is {self.unit[:20]!r}")
        points: list[Floats] = [np.zeros((0, 3))]
        faces = [no_faces()]
        for number, transform in self.items:
            self._place(number, transform, points, faces, 0)
        return Raw(np.vstack(points), np.vstack(faces), UNITS[self.unit])

    def _place(
        self, number: str, transform: Floats, points: list[Floats], faces: list[NDArray[np.int64]], depth: int
    ) -> None:
        self.placed += 1
        if depth > DEEPEST or self.placed > MOST_PLACED:
            raise ValueError("its objects are nested too deeply or too many")
        own = np.array(self.points[number], dtype=float).reshape(-1, 3)
        triangles = np.array(self.faces[number], dtype=np.int64).reshape(-1, 3)
        if len(triangles) and not (triangles.min() >= 0 and triangles.max() < len(own)):
            raise ValueError("a triangle names a point that is not there")
        refuse_many(self.where, sum(map(len, faces)) + len(triangles), MOST_FACETS, "triangles")
        faces.append(triangles + sum(map(len, points)))
        points.append(own @ transform[:3] + transform[3])
        for part, own_transform in self.components[number]:
            self._place(part, _chained(own_transform, transform), points, faces, depth + 1)


def _transform(text: str | None) -> Floats:
    """Return a 3MF transform, rows of three: a point is (x, y, z, 1) @ it."""
    if text is None:
        return np.vstack([np.eye(3), np.zeros(3)])
    return np.array([float(word) for word in text.split()]).reshape(4, 3)


def _chained(first: Floats, then: Floats) -> Floats:
    """Return the transform that does one and then the other."""
    return np.vstack([first[:3] @ then[:3], first[3] @ then[:3] + then[3]])
