"""What `seatmesh sheets` takes."""

from __future__ import annotations

from seatmesh.cli.parsers.command import Commands, add_command, add_overwrite
from seatmesh.paper.paper_sizes import ALLOWED


def add_sheets(commands: Commands) -> None:
    """Add the command that writes full-size sheets."""
    parser = add_command(
        commands, "sheets", "Full-size sheets: plan, section cards, stages of the rough-out, depth holes."
    )
    parser.add_argument("seat", metavar="SEAT|ORDER", help="a seat file (seat.json) or an order file (TOML)")
    parser.add_argument(
        "--repeat",
        action="store_true",
        help="what a proven seat needs to be made again, on few pages: bench card, plan, depth holes, cards",
    )
    parser.add_argument(
        "--blank",
        metavar="SEAT|ORDER",
        help="with --repeat: whose blank, joints, chair and boards the proven seat is made again on (default: its own)",
    )
    texts = (
        ("--paper", "A4", "P", f"{', '.join(ALLOWED[:-1])}, or roll:914 for its width (default: A4)"),
        ("--units", None, "U", "mm or in (default: as the seat speaks)"),
        ("--stations-mm", None, "Y,Y", "where section cards stand across, from the rear edge"),
        (
            "--along-mm",
            None,
            "X,X",
            "where section cards stand along, to the sitter's right of the centre line",
        ),
        (
            "--stage",
            "none",
            "S",
            "plan and cards of each stage at full size, many pages: all or none (default: none)",
        ),
        (
            "--bar-height-mm",
            None,
            "B",
            "with --repeat: also the gauge sheet to write on, for a bar whose datum stands so high above its feet",
        ),
        (
            "--wood",
            "white oak",
            "W",
            "for the mass that each stage takes off, where the order has no boards (default: white oak)",
        ),
        ("--format", "all", "F", "pdf, dxf, svg or all (default: all)"),
        ("--out", "out", "DIR", "folder for the results (default: out)"),
    )
    for name, usual, letter, words in texts:
        parser.add_argument(name, default=usual, metavar=letter, help=words)
    lengths = (
        ("--contour-step-mm", None, "depth between contour lines (default: 3 mm, or 1/8 inch)"),
        ("--allowance-mm", "1.5", "wood left for scraper and sander, under depth holes too (default: 1.5)"),
    )
    for name, length, words in lengths:
        parser.add_argument(name, default=length, metavar="L", help=words)
    parser.add_argument(
        "--inch-step", type=int, default=32, metavar="N", help="fractions of an inch: 16 or 32 (default: 32)"
    )
    parser.add_argument(
        "--depth-holes", action="store_true", help="depth holes, for repeating a seat that has proved itself"
    )
    parser.add_argument(
        "--bit",
        metavar="BIT",
        help="what drills them: kind, diameter and, if you measured it, how far its point reaches below the cutting "
        "edges, such as 'brad point 6 mm', 'twist 1/4 in' or 'Forstner 25 mm, tip 3 mm' "
        "(default: brad point 8 mm, or 5/16 inch)",
    )
    add_overwrite(parser)
