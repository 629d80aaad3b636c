"""`seatmesh demo`: seats for a string quartet's practice room."""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from seatmesh.cli.commands.shape_command import facts_of
from seatmesh.cli.output import print_json, print_text, say, table
from seatmesh.cli.progress import step
from seatmesh.design.demo import demo_orders
from seatmesh.design.folders.result_files import EXPECTED, write_results
from seatmesh.design.folders.result_pictures import Pictures
from seatmesh.design.job import demo_job
from seatmesh.design.orders.order import Order, order_from_table
from seatmesh.design.shape import Design, design
from seatmesh.jobs.place import place_for
from seatmesh.jobs.record import ORDER_COPY
from seatmesh.picture.meanwhile import Meanwhile
from seatmesh.picture.view.render_process import RenderProcess
from seatmesh.units import format_area, peak_square


def run(options: argparse.Namespace) -> None:
    """Shape the quartet's seats, write their files, and print what they bring each player."""
    out = Path(options.out)
    demo = demo_orders()
    orders = [order_from_table(given, f"order '{name}'", name) for name, (_, given) in demo.items()]
    texts = [(name, text) for name, (text, _) in demo.items()]
    jobs = [demo_job(order, *named) for order, named in zip(orders, texts, strict=True)]
    for job in jobs:
        place_for(out, job, EXPECTED, options.overwrite)
    with Meanwhile(forked=True) as drawing, RenderProcess(forked=True) as rendering:
        pictures = Pictures(drawing, rendering)
        results = write_results(_designs(orders, out), jobs, out, step, options.overwrite, pictures=pictures)
    for note in dict.fromkeys(note for one in results for note in one.notes):
        say(f"note: {note}")
    if options.json:
        print_json({"seats": [{**one.report, **facts_of(one)} for one in results]})
        return
    print_text(table_words([(one.report, order.units) for one, order in zip(results, orders, strict=True)]))
    folders = ", ".join(str(one.folder) for one in results)
    print_text(f"Pictures, meshes and reports are in {folders}.")


def _designs(orders: Sequence[Order], out: Path) -> Iterator[Design]:
    """Shape one seat after another, so that each is drawn while the next is shaped."""
    for number, order in enumerate(orders):
        step(f"shaping '{order.title}'", number, len(orders))
        # Advice names the order file that it is to be pasted for: the copy beside the results.
        yield design(replace(order, file=str(out / order.folder_name / ORDER_COPY)))


def table_words(reports: Sequence[tuple[dict[str, Any], str]]) -> str:
    """Return each seat's peaks and areas of contact, every seat in its order's unit, and what the columns mean."""
    head = ["seat and sitter", "peak flat, kPa", "shaped", "finished", "contact flat", "finished"]
    rows = [
        [
            f"{report['title']}: {sitter['name']}",
            f"{sitter['peak_flat_kpa']:.0f}",
            f"{sitter['peak_closed_form_kpa']:.0f}",
            f"{sitter['peak_best_kpa']:.0f}",
            format_area(sitter["contact_area_flat_cm2"], units),
            format_area(sitter["contact_area_best_cm2"], units),
        ]
        for report, units in reports
        for sitter in report["sitters"]
    ]
    squares = " or ".join(dict.fromkeys(peak_square(units) for _, units in reports))
    return (
        f"{table(head, rows)}\n\n"
        f"Peaks are means over {squares}. Flat: on the uncarved top. Shaped: as the sitter's body, the wishes and the "
        "wood ask for. Finished: after the search for the shape that presses least."
    )
