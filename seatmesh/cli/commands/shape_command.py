"""`seatmesh shape`: an order in, a folder of results out."""

from __future__ import annotations

import argparse
from pathlib import Path

from seatmesh.cli.output import print_json, print_text, say
from seatmesh.design.orders.order import read_order
from seatmesh.design.result_files import write_results
from seatmesh.design.shape import design


def run(options: argparse.Namespace) -> None:
    """Shape the order's seat, write its files, and print the report."""
    order = read_order(options.order)
    say(f"shaping '{order.title}' for {', '.join(one.body.name for one in order.sitters)} ...")
    results = write_results([design(order)], Path(options.out), say)[0]
    for note in results.notes:
        say(f"note: {note}")
    if options.json:
        print_json({**results.report, "folder": str(results.folder), "files": list(results.files)})
    else:
        print_text(results.text)
        say(f"{len(results.files)} files in {results.folder}")
