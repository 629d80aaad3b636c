"""What `seatmesh gauge` takes; nothing heavy is imported here."""

from __future__ import annotations

import argparse

from seatmesh.cli.parsers.command import Commands, add_command

READINGS = "a gauge sheet with readings, mm or inches; further readings of the same carving after it"
SEAT = "a seat file (seat.json) or an order file (TOML)"


def add_gauge(commands: Commands) -> None:
    """Add `gauge` and what can be done with it."""
    words = "The rod gauge on a straight bar: a sheet to read by, and what readings tell of the wood."
    gauge = commands.add_parser("gauge", help=words, description=words)
    actions = gauge.add_subparsers(dest="action", required=True, metavar="ACTION")
    _sheet(actions)
    _check(actions)
    _save(actions)
    _copy(actions)


def _lie(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--lie",
        metavar="L",
        help="how the bar lay, across or along, where the readings have no column placing (default: across, unless "
        "the readings say otherwise)",
    )


def _sheet(actions: Commands) -> None:
    parser = add_command(
        actions, "sheet", "Expected readings at the crossings of a grid: CSV to type into, and a table."
    )
    parser.add_argument("seat", metavar="SEAT|ORDER", help=SEAT)
    parser.add_argument("--spacing-mm", metavar="S", help="between crossings (default: 25, or 1 inch)")
    parser.add_argument(
        "--bar-height-mm", required=True, metavar="B", help="how far the bar's datum stands above its feet"
    )
    parser.add_argument(
        "--rod-offset-mm",
        default="0",
        metavar="R",
        help="what the rod shows with its tip at the datum (default: 0)",
    )
    parser.add_argument(
        "--lie", default="across", metavar="L", help="how the bar lies: across or along (default: across)"
    )
    parser.add_argument(
        "--rests-mm", metavar="A,B",
        help="where its two rests stand: x of left and right, or y of rear and front (default: outermost uncut wood)",
    )  # fmt: skip
    parser.add_argument(
        "--rest-heights-mm", default="0,0", metavar="A,B",
        help="how high the rests stand above the blank's top face, minus below it (default: 0,0)",
    )  # fmt: skip
    parser.add_argument(
        "--stage", type=float, default=1.0, metavar="P", help="share of the depth, such as 0.5"
    )
    parser.add_argument("--paper", default="A4", metavar="P", help="of FILE.pdf: A4 or Letter (default: A4)")
    parser.add_argument("--flat", action="store_true", help="the blank uncarved, for a seat carved by feel")
    parser.add_argument("--units", metavar="U", help="mm or in, of both files (default: the seat's)")
    parser.add_argument(
        "--to",
        required=True,
        metavar="FILE",
        help="where to: FILE.csv; FILE.txt is to print, FILE.pdf to write on",
    )


def _check(actions: Commands) -> None:
    parser = add_command(
        actions, "check", "What readings tell: what to take where, left against right, ripples, what next."
    )
    parser.add_argument("seat", metavar="SEAT|ORDER", help=SEAT)
    parser.add_argument("readings", nargs="+", metavar="READINGS.csv", help=READINGS)
    parser.add_argument(
        "--further", metavar="FILE", help="write the readings that would decide as rows to fill in: FILE.csv"
    )
    _lie(parser)
    parser.add_argument(
        "--tolerance-mm", default="0.5", metavar="T", help="what counts as done (default: 0.5)"
    )
    parser.add_argument(
        "--stage", type=float, default=1.0, metavar="P", help="the stage that the sheet was made for"
    )
    parser.add_argument(
        "--map", metavar="FILE", help="write a map of what to take and what is too deep (PNG)"
    )
    parser.add_argument("--units", metavar="U", help="mm or in, of words and map (default: the seat's)")


def _save(actions: Commands) -> None:
    parser = add_command(
        actions, "save", "A cut went too deep: the nearest fair seat at or below it, by the least wood."
    )
    parser.add_argument("seat", metavar="SEAT|ORDER", help=SEAT)
    parser.add_argument("readings", nargs="*", metavar="READINGS.csv", help=READINGS)
    _lie(parser)
    parser.add_argument(
        "--gouge", action="append", default=[], metavar="X,Y,RADIUS,DEPTH",
        help="a bowl cut too deep, mm: its middle, its radius, how far its bottom lies below the drawn seat",
    )  # fmt: skip
    parser.add_argument("--as-cut", action="store_true", help="left and right may become unlike")
    parser.add_argument(
        "--scatter-mm",
        default="0",
        metavar="A",
        help="how far single readings may stay below the seat (default: 0)",
    )
    parser.add_argument(
        "--body", action="append", default=[], metavar="B", help="say what it does to this sitter's pressure"
    )
    parser.add_argument("--to", metavar="FILE", help="where to: seat.json")


def _copy(actions: Commands) -> None:
    parser = add_command(actions, "copy", "A seat carved by feel becomes a seat file from its readings.")
    parser.add_argument("readings", nargs="+", metavar="READINGS.csv", help=READINGS)
    _lie(parser)
    parser.add_argument("--to", required=True, metavar="FILE", help="where to: seat.json")
    parser.add_argument(
        "--symmetric", action="store_true", help="the mean of the two sides (default: as carved)"
    )
    parser.add_argument("--mirrored", action="store_true", help="with left and right exchanged")
    parser.add_argument(
        "--blank", metavar="SEAT|ORDER", help="a seat or order file whose blank it was carved from"
    )
    parser.add_argument("--fits", metavar="B", help="the sitter whom it fits; with --for")
    parser.add_argument(
        "--for", dest="to_fit", metavar="B", help="another sitter, to whom the copy is adapted"
    )
    parser.add_argument(
        "--front-roll-mm", metavar="R", help="radius of the roll at the front edge (default: none)"
    )
    parser.add_argument("--bar-height-mm", metavar="B", help="of a level bar, where the file has no datum_mm")
    parser.add_argument("--rod-offset-mm", metavar="R", help="of the same gauge (default: 0)")
    parser.add_argument(
        "--title", default="copied", metavar="T", help="what the seat is called (default: copied)"
    )
