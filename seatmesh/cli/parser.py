"""What the command line takes. Nothing heavy is imported here, so that `--help` answers at once."""

from __future__ import annotations

import argparse

from seatmesh import __version__
from seatmesh.cautions import IN_SHORT
from seatmesh.cli.parsers.command import Commands, add_command, add_overwrite
from seatmesh.cli.parsers.gauge import add_gauge
from seatmesh.cli.parsers.people import add_people
from seatmesh.cli.parsers.serve import add_serve
from seatmesh.cli.parsers.sheets import add_sheets
from seatmesh.cli.typed_lengths import LengthsParser
from seatmesh.formats.registry import formats_read, formats_written


def build_parser() -> argparse.ArgumentParser:
    """Return the parser of all commands."""
    parser: argparse.ArgumentParser = LengthsParser(
        prog="seatmesh",
        description="Fit a carved solid-wood seat to its sitter, see where it presses, and take it to the bench.",
        epilog=IN_SHORT,
    )
    parser.add_argument("--version", action="version", version=f"seatmesh {__version__}")
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")
    _demo(commands)
    _measures(commands)
    _shape(commands)
    _adjust(commands)
    _marks(commands)
    _keys(commands)
    _sit(commands)
    _mesh(commands)
    add_sheets(commands)
    _mock_up(commands)
    _read(commands)
    add_gauge(commands)
    _wood(commands)
    add_people(commands)
    _guide(commands)
    add_serve(commands)
    return parser


def _demo(commands: Commands) -> None:
    parser = add_command(
        commands, "demo", "Seats for a string quartet: one for each player, and one that all four share."
    )
    parser.add_argument("--out", default="out", metavar="DIR", help="folder for the results (default: out)")
    add_overwrite(parser)


def _measures(commands: Commands) -> None:
    parser = add_command(
        commands, "measures", "Which body measures to take and how; what is estimated, and how surely."
    )
    parser.add_argument(
        "body", nargs="?", metavar="BODY", help="a body file, or the name of one that comes with the tool"
    )


def _shape(commands: Commands) -> None:
    parser = add_command(
        commands, "shape", "Shape the seat of an order: seat file, meshes, pictures and report."
    )
    parser.add_argument("order", metavar="ORDER", help="an order file (TOML)")
    parser.add_argument("--out", default="out", metavar="DIR", help="folder for the results (default: out)")
    add_overwrite(parser)


def _adjust(commands: Commands) -> None:
    parser = add_command(
        commands,
        "adjust",
        "Add an adjustment to an order file, or take the last one back; see what each does.",
    )
    parser.add_argument("order", metavar="ORDER", help="an order file (TOML)")
    parser.add_argument("--action", metavar="A", help="deepen, ease or raise")
    for key, words in (
        ("x", "from the centre line"),
        ("y", "from the rear edge"),
        ("radius", "of the circle"),
        ("amount", "taken or left at its centre"),
    ):
        parser.add_argument(f"--{key}-mm", metavar="L", help=f"{words}: mm, or a length with its unit")
    parser.add_argument("--side", metavar="S", help="left, right, middle or both (default: both)")
    parser.add_argument("--tag", metavar="T", help="comfort or look (default: comfort)")
    parser.add_argument("--why", metavar="WORDS", help="what the sitter said")
    parser.add_argument("--date", metavar="DAY", help="such as 2026-05-31 (default: today)")
    parser.add_argument("--undo", action="store_true", help="take back the last one that is not locked")
    parser.add_argument("--lock", type=int, metavar="N", help="keep adjustment N from being taken back")
    parser.add_argument("--unlock", type=int, metavar="N", help="let it be taken back again")


def _marks(commands: Commands) -> None:
    parser = add_command(
        commands, "marks", "Marks of a fitting from a photograph of the marked blank, ready for the order."
    )
    parser.add_argument(
        "photograph", metavar="PHOTO", help="a file (TOML) of the pixels of corners, check points and marks"
    )
    parser.add_argument("--blank", required=True, metavar="SEAT|ORDER", help="whose blank it shows")
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.epilog = PHOTOGRAPH


PHOTOGRAPH = """PHOTO holds, pixels counted from the picture's left and top:

  image_size_px = [4000, 3000]   # of the whole picture: its lens is found with it
  edge = [[900, 2440], [1800, 2450]]   # anywhere on the outline of the top face
  [[known]]                      # four or more points whose places are known
  name = "cross 1"
  pixel = [1320, 1985]
  x_mm = -100
  y_mm = 60
  [[mark]]
  name = "sit bone"
  side = "left"
  pixel = [1722, 1490]

Without image_size_px the lens is taken for a straight one; then four [[corner]] make the plane, and four or more
[[check]] say how far that is off."""


def _keys(commands: Commands) -> None:
    add_command(commands, "keys", "Every key of an order file: what it means, its range, unit and default.")


def _sit(commands: Commands) -> None:
    parser = add_command(commands, "sit", "Sit bodies on a seat: contact area, pressure and load.")
    parser.add_argument("seat", metavar="SEAT|ORDER", help="a seat file (seat.json) or an order file (TOML)")
    parser.add_argument(
        "--body", action="append", default=[], metavar="B",
        help="a body file or the name of one; may be given again (default: the order's sitters)",
    )  # fmt: skip
    parser.add_argument("--load-n", type=float, metavar="N", help="press with this force in newtons")
    parser.add_argument(
        "--posture", default="upright", metavar="P", help="for instance upright, slouched, 'legs apart'"
    )
    parser.add_argument(
        "--picture", metavar="FILE", help="write their contact maps side by side on one scale (PNG)"
    )
    parser.add_argument("--flat", action="store_true", help="sit on the blank before anything is carved")


def _mesh(commands: Commands) -> None:
    parser = add_command(commands, "mesh", "Write the carved blank as a closed mesh, at any scale.")
    parser.add_argument("seat", metavar="SEAT|ORDER", help="a seat file (seat.json) or an order file (TOML)")
    parser.add_argument(
        "--to",
        required=True,
        metavar="FILE",
        help=f"where to: FILE{', '.join(formats_written())}",
    )
    parser.add_argument("--scale", default="1:1", metavar="S", help="1:4, 1/4, 25%% or 0.25 (default: 1:1)")
    parser.add_argument(
        "--tolerance-mm", metavar="T",
        help="greatest distance between mesh and surface, at full size: mm, or with its unit (default: 0.1 at the "
        "scale asked for)",
    )  # fmt: skip
    parser.add_argument(
        "--body", metavar="B", help="colour it by the pressure of this sitter: .ply and .glb only"
    )
    parser.add_argument("--joint-holes", action="store_true", help="cut mortises and housings too")


def _mock_up(commands: Commands) -> None:
    parser = add_command(
        commands, "mock-up", "Parts for a printer: the seat at a scale, cut to the bed, and the sitter."
    )
    parser.add_argument("seat", metavar="SEAT|ORDER", help="a seat file (seat.json) or an order file (TOML)")
    parser.add_argument("--scale", default="1:4", metavar="S", help="1:4, 1/4, 25%% or 0.25 (default: 1:4)")
    parser.add_argument(
        "--bed-mm",
        default="220x220x220",
        metavar="WxDxH",
        help="the printer's bed and height: mm, or with their unit, such as 8 3/4 x 8 3/4 x 9 in",
    )
    parser.add_argument(
        "--wall-mm",
        default="1.2",
        metavar="W",
        help="least wall that the printer holds: mm, or with its unit (default: 1.2)",
    )
    parser.add_argument(
        "--body", metavar="B", help="also the underside of this sitter, to hold against the seat"
    )
    parser.add_argument(
        "--shell-mm", metavar="T", help="also a full-size shell of this thickness: mm, or with its unit"
    )
    parser.add_argument(
        "--out", default="out", metavar="DIR",
        help="folder for the results; the parts go to DIR/NAME/mock-up/SCALE (default: out)",
    )  # fmt: skip
    add_overwrite(parser)


def _read(commands: Commands) -> None:
    parser = add_command(
        commands,
        "read",
        f"Read a carved or scanned seat back: mesh or list of points ({', '.join(formats_read())}).",
    )
    parser.add_argument("scan", metavar="SCAN", help="the scan")
    parser.add_argument("--unit", metavar="U", help="mm, cm, m or in; needed where the file does not say it")
    parser.add_argument(
        "--blank", metavar="SEAT|ORDER", help="a seat or order file whose blank it was carved from"
    )
    parser.add_argument("--to", required=True, metavar="FILE", help="where to: seat.json")
    parser.add_argument(
        "--scale", default="1:1", metavar="S", help="of a model: 1:4, 1/4 or 0.25 (default: 1:1)"
    )
    parser.add_argument(
        "--up", metavar="X,Y,Z",
        help="which way in the file points up out of the carved face, where the scan cannot tell: 0,0,1 is its z",
    )  # fmt: skip
    parser.add_argument(
        "--front",
        metavar="X,Y,Z",
        help="which way in the file the front edge lies, where the scan cannot tell",
    )
    parser.add_argument(
        "--rim", metavar="X,Y,Z", action="append",
        help="a point on the uncut rim or deck, in the file's axes and unit, where the scan does not tell which plane "
        "is the rim's; given three times, far apart",
    )  # fmt: skip
    parser.add_argument(
        "--meant", metavar="SEAT", help="the seat file that was carved from, to compare the scan with"
    )
    parser.add_argument(
        "--picture", metavar="FILE",
        help="draw where the scan was seen, how far it lies off the seat read, and that off the one of --meant (PNG)",
    )  # fmt: skip
    parser.add_argument(
        "--front-roll-mm", metavar="R",
        help="radius of the front roll, where the scan cannot tell it: mm, or with its unit; 0 for none",
    )  # fmt: skip
    parser.add_argument(
        "--as-drawn", action="store_true",
        help="the file is in the blank's own frame: centre line at x = 0, rear edge at y = 0, top face at z = 0",
    )  # fmt: skip


def _wood(commands: Commands) -> None:
    parser = add_command(
        commands, "wood", "The boards of an order: figure, movement, the plank, the floor, the way to cut."
    )
    parser.add_argument("order", metavar="ORDER", help="an order file (TOML)")
    parser.add_argument("--out", default="out", metavar="DIR", help="folder for the results (default: out)")
    parser.add_argument(
        "--readings",
        action="append",
        default=[],
        metavar="CSV",
        help="gauge readings of the finished seat, kept in its record for the next chair; may be given again",
    )
    add_overwrite(parser)


def _guide(commands: Commands) -> None:
    parser = add_command(
        commands,
        "guide",
        "The guide: first seat, form, wood, bench, second chair, people, Python, HTTP, model, sources.",
    )
    parser.add_argument("topic", nargs="?", metavar="TOPIC", help="left out: the list of topics")
