"""3MF: one closed object with its unit, name and metadata, in a zip without a clock.

3D Manufacturing Format, Core Specification 1.3 (3MF Consortium), from memory; a test has the consortium's own library
read the file without a warning. The rows of the XML are put together here because trimesh takes four times as long for
the same file and a tree of lxml's seven times (`tests/benchmarks/libraries.py`).
"""

from __future__ import annotations

import io
import zipfile
from xml.sax.saxutils import escape, quoteattr

import numpy as np

from seatmesh.formats.mesh_attributes import Extras, one_line
from seatmesh.formats.text_table import decimals, integers, lines_of
from seatmesh.mesh import Mesh

NAMESPACE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
EARLIEST = (1980, 1, 1, 0, 0, 0)
"""The first date that a zip file knows; the time of writing would change the bytes."""

LEVEL = 4
"""Of compression: level 6 takes twice the time and makes files a twelfth smaller."""

_DECLARATION = '<?xml version="1.0" encoding="UTF-8"?>\n'
_PACKAGE = "http://schemas.openxmlformats.org/package/2006"
_TYPES = (
    f'{_DECLARATION}<Types xmlns="{_PACKAGE}/content-types">'
    '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/></Types>\n'
)
_RELATIONS = (
    f'{_DECLARATION}<Relationships xmlns="{_PACKAGE}/relationships">'
    '<Relationship Target="/3D/3dmodel.model" Id="rel0" '
    'Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>\n'
)


def threemf_file(mesh: Mesh, name: str, extras: Extras) -> bytes:
    """Return the contents of a 3MF file; no attributes are written."""
    return threemf_bytes(mesh, name)


def threemf_bytes(mesh: Mesh, name: str) -> bytes:
    """Return the mesh as a 3MF file, unit millimetre, coordinates to 1e-6 mm.

    Vertices are in the mesh's own frame; the build item moves them to positive x, y and z, as printers ask, the
    lowest at z = 0. The same mesh and name give the same bytes with the same zlib.
    """
    file = io.BytesIO()
    entries = {
        "[Content_Types].xml": _TYPES.encode(),
        "_rels/.rels": _RELATIONS.encode(),
        "3D/3dmodel.model": _model(mesh, one_line(name)),
    }
    with zipfile.ZipFile(file, "w") as package:
        for path, text in entries.items():
            entry = zipfile.ZipInfo(path, EARLIEST)
            # Else the operating system that writes would be in the bytes.
            entry.create_system, entry.compress_type = 3, zipfile.ZIP_DEFLATED
            package.writestr(entry, text, compresslevel=LEVEL)
    return file.getvalue()


def _model(mesh: Mesh, name: str) -> bytes:
    to_bed = -np.round(mesh.vertices_mm.min(axis=0), 6) + 0.0
    x, y, z = (decimals(mesh.vertices_mm[:, i], 6) for i in range(3))
    vertices = lines_of([b'<vertex x="', x, b'" y="', y, b'" z="', z, b'"/>\n'])
    number = integers(np.arange(len(mesh.vertices_mm)))
    a, b, c = mesh.faces.T
    triangles = lines_of(
        [b'<triangle v1="', number, b'" v2="', number, b'" v3="', number, b'"/>\n'],
        [None, a, None, b, None, c, None],
    )
    right, front, up = to_bed
    head = (
        f'{_DECLARATION}<model unit="millimeter" xml:lang="en-GB" xmlns="{NAMESPACE}">\n'
        f'<metadata name="Title">{escape(name)}</metadata>\n'
        '<metadata name="Description">Carved seat; x to the sitter\'s right, y to the front, z up</metadata>\n'
        '<metadata name="Application">seatmesh</metadata>\n'
        f'<resources>\n<object id="1" type="model" name={quoteattr(name)}>\n<mesh>\n'
        "<vertices>\n"
    )
    foot = (
        "</triangles>\n</mesh>\n</object>\n</resources>\n"
        f'<build>\n<item objectid="1" transform="1 0 0 0 1 0 0 0 1 {right:.6f} {front:.6f} {up:.6f}"/>\n</build>\n'
        "</model>\n"
    )
    blocks = [
        head.encode("utf-8", "replace"),
        vertices,
        b"</vertices>\n<triangles>\n",
        triangles,
        foot.encode(),
    ]
    return b"".join(blocks)
