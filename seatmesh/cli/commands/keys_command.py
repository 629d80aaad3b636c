"""`seatmesh keys`: every key of an order file."""

from __future__ import annotations

import argparse
import textwrap
from typing import Any

from seatmesh.cli.output import print_json, print_text
from seatmesh.design.orders.key_list import KeyRow, key_facts, key_rows

WIDTH = 100
NOTE = (
    'Only [[sitter]] is needed. A length is a number of mm, or text with its unit such as "18 mm" or \'1 3/16"\'. x is '
    "measured from the centre line, positive to the sitter's right, y forward from the rear edge."
)


def run(options: argparse.Namespace) -> None:
    """Print the keys, table by table."""
    rows = key_rows()
    if options.json:
        print_json({"keys": [_facts(row) for row in rows]})
        return
    lines = [*textwrap.wrap(NOTE, WIDTH)]
    table = None
    for row in rows:
        if row.table != table:
            table = row.table
            lines += ["", table or "at the top of the file"]
        lines += _lines(row)
    print_text("\n".join(lines))


def _facts(row: KeyRow) -> dict[str, Any]:
    told = {"key": row.key, "meaning": row.meaning} if row.record is None else key_facts(*row.record)
    return {"table": row.table, **told, "allowed": row.allowed, "default": row.default}


def _lines(row: KeyRow) -> list[str]:
    default = f"default {row.default}" if row.default else ""
    facts = "; ".join(part for part in (row.allowed, default, row.needed) if part)
    words = f"{row.meaning} ({facts})" if facts else row.meaning
    lines = textwrap.wrap(words, WIDTH - 28)
    return [f"  {row.key:<25} {lines[0]}", *(f"{'':<28}{line}" for line in lines[1:])]
