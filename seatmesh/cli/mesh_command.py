"""`seatmesh mesh`: the carved blank as a closed mesh."""

from __future__ import annotations

import argparse
from pathlib import Path

from seatmesh.cli.output import print_json, print_text
from seatmesh.cli.sources import read_source
from seatmesh.design.report import rounded
from seatmesh.export.mesh_file import check_suffix, write_mesh
from seatmesh.export.scale import parse_scale
from seatmesh.mesh import is_closed, volume_mm3
from seatmesh.solids.carved import solid


def run(options: argparse.Namespace) -> None:
    """Write the mesh and print what it is."""
    scale = parse_scale(options.scale)
    path = Path(options.to)
    check_suffix(path)
    source = read_source(options.seat)
    mesh = solid(source.seat, options.tolerance_mm).scaled(scale)
    write_mesh(mesh, path)
    size = mesh.vertices_mm.max(axis=0) - mesh.vertices_mm.min(axis=0)
    facts = rounded(
        {
            "file": str(path),
            "unit": "mm",
            "scale": scale,
            "facets": len(mesh.faces),
            "extents_mm": [float(value) for value in size],
            "volume_cm3": volume_mm3(mesh) / 1000.0,
            "closed": is_closed(mesh),
        }
    )
    if options.json:
        print_json(facts)
    else:
        across, along, up = facts["extents_mm"]
        print_text(
            f"{path}: {facts['facets']} facets, {across:g} x {along:g} x {up:g} mm at scale {scale:g}, "
            f"{facts['volume_cm3']:g} cm3, {'closed' if facts['closed'] else 'NOT closed'}; its numbers are mm"
        )
