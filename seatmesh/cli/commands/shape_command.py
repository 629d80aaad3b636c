"""`seatmesh shape`: an order in, a folder of results out."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from seatmesh.cli.output import print_json, print_text, say
from seatmesh.cli.progress import step
from seatmesh.picture.meanwhile import Meanwhile
from seatmesh.picture.view.render_process import RenderProcess

if TYPE_CHECKING:
    from seatmesh.design.folders.result_files import Results


def run(options: argparse.Namespace) -> None:
    """Shape the order's seat, write its files, and print the report."""
    with Meanwhile(forked=True) as drawing, RenderProcess(forked=True) as rendering:
        # What draws loads in processes of its own while this one loads what shapes.
        results = _shaped(options, drawing, rendering)
    for note in results.notes:
        say(f"note: {note}")
    if options.json:
        print_json({**results.report, **facts_of(results)})
    else:
        print_text(results.text)
        say(f"{len(results.files)} files in {results.folder}")


def _shaped(options: argparse.Namespace, drawing: Meanwhile, rendering: RenderProcess) -> Results:
    from seatmesh.design.folders.result_files import EXPECTED, write_results
    from seatmesh.design.folders.result_pictures import Pictures
    from seatmesh.design.job import order_job
    from seatmesh.design.orders.order import read_order
    from seatmesh.design.shape import design
    from seatmesh.jobs.place import place_for

    order, out = read_order(options.order), Path(options.out)
    job = order_job(order, options.order)
    place_for(out, job, EXPECTED, options.overwrite)
    step(f"shaping '{order.title}' for {', '.join(one.body.name for one in order.sitters)}")
    pictures = Pictures(drawing, rendering)
    return write_results([design(order)], [job], out, step, options.overwrite, pictures=pictures)[0]


def facts_of(results: Results) -> dict[str, object]:
    """Return what `--json` says beside the report: where the files are, and all notes."""
    return {"notes": list(results.notes), "folder": str(results.folder), "files": list(results.files)}
