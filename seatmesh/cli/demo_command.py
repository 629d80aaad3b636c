"""`seatmesh demo`: seats for a string quartet's practice room."""

from __future__ import annotations

import argparse
from dataclasses import replace
from pathlib import Path

from seatmesh.cli.output import print_json, print_text, say, table
from seatmesh.design.demo import demo_orders
from seatmesh.design.order import order_from_table
from seatmesh.design.results import ORDER_FILE, write_results
from seatmesh.design.shape import design


def run(options: argparse.Namespace) -> None:
    """Shape the quartet's seats, write their files, and print what they bring each player."""
    designs, texts = [], {}
    for name, (text, order_table) in demo_orders().items():
        order = order_from_table(order_table, f"order '{name}'", name)
        order = replace(order, file=str(Path(options.out) / order.folder_name / ORDER_FILE))
        say(f"shaping '{order.title}' ...")
        designs.append(design(order))
        texts[order.folder_name] = text
    results = write_results(designs, Path(options.out), say, orders=texts)
    for note in dict.fromkeys(note for one in results for note in one.notes):
        say(f"note: {note}")
    if options.json:
        print_json(
            {
                "seats": [
                    {**one.report, "folder": str(one.folder), "files": list(one.files)} for one in results
                ]
            }
        )
        return
    head = ["seat and sitter", "peak flat, kPa", "fitted", "best", "area flat, cm2", "best"]
    rows = [
        [
            f"{one.report['title']}: {sitter['name']}",
            f"{sitter['peak_flat_kpa']:.0f}",
            f"{sitter['peak_closed_form_kpa']:.0f}",
            f"{sitter['peak_best_kpa']:.0f}",
            f"{sitter['contact_area_flat_cm2']:.0f}",
            f"{sitter['contact_area_best_cm2']:.0f}",
        ]
        for one in results
        for sitter in one.report["sitters"]
    ]
    print_text(table(head, rows))
    folders = ", ".join(str(one.folder) for one in results)
    print_text(f"\nPeaks are means over 1 cm2. Pictures, meshes and reports are in {folders}.")
