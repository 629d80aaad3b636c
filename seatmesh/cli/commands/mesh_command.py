"""`seatmesh mesh`: the carved blank as a mesh, a CAD solid or a height map; the suffix says which."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from seatmesh.cli.output import print_json, print_text
from seatmesh.cli.sources import bodies_for, read_source
from seatmesh.design.coloured_mesh import extras_of, fineness
from seatmesh.design.report.plain import rounded
from seatmesh.errors import ValueRefusedError
from seatmesh.formats.height_map import write_height_map
from seatmesh.formats.mesh_file import write_mesh
from seatmesh.formats.mesh_scale import parse_scale, usual_tolerance_mm
from seatmesh.formats.registry import FORMATS, Format, format_of, formats_written, listed
from seatmesh.formats.step.writer import write_step
from seatmesh.mesh import Mesh, extents_mm, is_closed, volume_mm3
from seatmesh.solids.carved import solid
from seatmesh.solids.holes import cut_holes
from seatmesh.solids.measured import measured_distance_mm
from seatmesh.units import format_length, format_size, format_volume, in_unit, parse_length_mm
from seatmesh.wood.joint_cuts import joint_cuts


def run(options: argparse.Namespace) -> None:
    """Write the file and print what it is."""
    scale, path = parse_scale(options.scale), Path(options.to)
    form = format_of(path.suffix, formats_written(), "--to")
    _refuse_options(options, form, scale)
    how_fine = fineness(_tolerance_mm(options.tolerance_mm, scale), bool(options.body))
    source = read_source(options.seat)
    seat = source.seat
    facts: dict[str, Any] = {"file": str(path), "unit": form.unit, "scale": scale}
    if form.kind == "cad":
        facts["remarks"] = list(write_step(seat, path, joint_holes=options.joint_holes, scale=scale))
    elif form.kind == "heights":
        write_height_map(seat, path)
    else:
        plain = solid(seat, *how_fine)
        mesh = cut_holes(plain, joint_cuts(seat.blank)) if options.joint_holes else plain
        body = bodies_for(source, [options.body])[0] if options.body else None
        extras = extras_of(mesh, seat, body)
        write_mesh(mesh.scaled(scale), path, name=seat.title, extras=extras)
        facts |= _mesh_facts(mesh, scale) | {"measured_distance_mm": measured_distance_mm(plain, seat)}
        if extras.pressure_kpa is not None:
            facts["peak_at_a_vertex_kpa"] = float(extras.pressure_kpa.max())
    facts = rounded(facts)
    print_json(facts) if options.json else print_text(_words(facts, seat.units))


def _refuse_options(options: argparse.Namespace, form: Format, scale: float) -> None:
    """Refuse what the format cannot hold."""
    suffix = form.suffix
    if form.kind == "heights" and scale != 1.0:
        raise ValueRefusedError(
            "--scale", options.scale, f"1:1 for {suffix}", "scale it in the program that reads it"
        )
    if options.body and not form.coloured:
        raise ValueRefusedError(
            "--body",
            options.body,
            f"allowed for {listed(one.suffix for one in FORMATS if one.coloured)}",
            "write one of these, or leave it out",
        )
    if options.joint_holes and form.kind == "heights":
        raise ValueRefusedError(
            "--joint-holes", suffix, "allowed for meshes and STEP", "write one of these, or leave it out"
        )


def _tolerance_mm(given: str | None, scale: float) -> float:
    return usual_tolerance_mm(scale) if given is None else parse_length_mm(given, "--tolerance-mm")


def _mesh_facts(mesh: Mesh, scale: float) -> dict[str, Any]:
    scaled = mesh.scaled(scale)
    return {
        "facets": len(mesh.faces),
        "extents_mm": extents_mm(scaled).tolist(),
        "volume_cm3": volume_mm3(scaled) / 1000.0,
        "closed": is_closed(mesh),
    }


def _words(facts: dict[str, Any], units: str) -> str:
    if "facets" not in facts:
        more = "".join(f"\n  {in_unit(one, units)}" for one in facts.get("remarks", ()))
        size = "full size" if facts["scale"] == 1.0 else f"scale {facts['scale']:g}"
        return f"{facts['file']}: the carved seat at {size}; its numbers are mm{more}"
    size = " x ".join(format_length(mm, units) for mm in facts["extents_mm"])
    return (
        f"{facts['file']}: {facts['facets']} facets, {size} at scale {facts['scale']:g}, "
        f"{format_volume(facts['volume_cm3'], units)}, {'closed' if facts['closed'] else 'NOT closed'}; mesh and "
        f"surface part by {format_size(facts['measured_distance_mm'], units, 3)} at most at full size; its numbers "
        f"are {facts['unit']}"
    )
