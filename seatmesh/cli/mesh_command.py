"""`seatmesh mesh`: the carved blank as a mesh, a CAD solid or a height map; the suffix says which."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from seatmesh.cli.output import print_json, print_text
from seatmesh.cli.sources import read_source
from seatmesh.design.report import rounded
from seatmesh.errors import ValueRefusedError
from seatmesh.export.extras import Extras
from seatmesh.export.height_map import write_height_map
from seatmesh.export.mesh_file import MESH_SUFFIXES, check_suffix, write_mesh
from seatmesh.export.scale import parse_scale
from seatmesh.export.step import write_step
from seatmesh.mesh import Mesh, extents_mm, is_closed, volume_mm3
from seatmesh.solids.carved import solid
from seatmesh.solids.measured import measured_distance_mm
from seatmesh.solids.parts import facet_parts
from seatmesh.surface import Seat

STEP = (".step", ".stp")
HEIGHTS = (".png", ".txt")


def run(options: argparse.Namespace) -> None:
    """Write the file and print what it is."""
    scale, path = parse_scale(options.scale), Path(options.to)
    suffix = path.suffix.lower()
    whole = suffix in STEP or suffix in HEIGHTS
    if not whole:
        check_suffix(path) if suffix in MESH_SUFFIXES else _refuse(suffix)
    if whole and scale != 1.0:
        raise ValueRefusedError(
            "--scale", options.scale, f"1:1 for {suffix}", "scale it in the program that reads it"
        )
    seat = read_source(options.seat).seat
    facts: dict[str, Any] = {"file": str(path), "unit": "m" if suffix == ".glb" else "mm", "scale": scale}
    if suffix in STEP:
        write_step(seat, path)
    elif suffix in HEIGHTS:
        write_height_map(seat, path)
    else:
        mesh = solid(seat, options.tolerance_mm)
        write_mesh(mesh.scaled(scale), path, name=seat.title, extras=Extras(part=facet_parts(mesh, seat)))
        facts |= _mesh_facts(mesh, seat, scale)
    facts = rounded(facts)
    print_json(facts) if options.json else print_text(_words(facts))


def _refuse(suffix: str) -> None:
    allowed = ", ".join((*MESH_SUFFIXES, *STEP, *HEIGHTS))
    raise ValueRefusedError("--to", suffix or "no suffix", f"allowed are {allowed}", "choose one of them")


def _mesh_facts(mesh: Mesh, seat: Seat, scale: float) -> dict[str, Any]:
    scaled = mesh.scaled(scale)
    return {
        "facets": len(mesh.faces),
        "extents_mm": extents_mm(scaled).tolist(),
        "volume_cm3": volume_mm3(scaled) / 1000.0,
        "measured_distance_mm": measured_distance_mm(mesh, seat),
        "closed": is_closed(mesh),
    }


def _words(facts: dict[str, Any]) -> str:
    if "facets" not in facts:
        return f"{facts['file']}: the carved seat at full size; its numbers are mm"
    across, along, up = facts["extents_mm"]
    return (
        f"{facts['file']}: {facts['facets']} facets, {across:g} x {along:g} x {up:g} mm at scale {facts['scale']:g}, "
        f"{facts['volume_cm3']:g} cm3, {'closed' if facts['closed'] else 'NOT closed'}; mesh and surface part by "
        f"{facts['measured_distance_mm']:.3f} mm at most at full size; its numbers are {facts['unit']}"
    )
