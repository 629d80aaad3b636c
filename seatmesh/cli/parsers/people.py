"""What `seatmesh people` takes."""

from __future__ import annotations

import argparse

from seatmesh.cli.parsers.command import Commands, add_command

PUBLICS = "soldiers or us-2011"
EPILOG = """A file of a public (TOML) holds any of these; what it leaves out is the survey's:

  words = "guests of a concert hall"
  women_share = 0.55
  [stature_mm]
  female = { mean = 1640, sd = 68 }
  male = { mean = 1775, sd = 72 }
  [mass_kg]
  female = { mean = 69, sd = 13 }
  [[ages]]                # 18 to 58 years
  from_years = 18
  to_years = 40
  share = 0.6"""


def add_people(commands: Commands) -> None:
    """Add the command that seats people not yet met."""
    parser = add_command(
        commands, "people", "People not yet met on a seat: for whom it is good, and whom it fails."
    )
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.epilog = EPILOG
    parser.add_argument("seat", metavar="SEAT|ORDER", help="a seat file (seat.json) or an order file (TOML)")
    parser.add_argument(
        "--count", type=int, default=5000, metavar="N", help="people to draw, up to 1000000 (default: 5000)"
    )
    parser.add_argument(
        "--seed", type=int, default=1, metavar="S", help="other people for another number (default: 1)"
    )
    parser.add_argument(
        "--public", default="soldiers", metavar="P", help=f"{PUBLICS}, or a file (TOML) (default: soldiers)"
    )
    parser.add_argument("--women", metavar="SHARE", help="share of women, 0 to 1 (default: the public's)")
    parser.add_argument(
        "--ask", action="append", default=[], metavar="NAME=BOUND",
        help="another bound for a criterion, such as knee_clearance_mm=30, or none; may be given again",
    )  # fmt: skip
    parser.add_argument(
        "--front-height-mm",
        metavar="L",
        help="height of the front edge: mm, or with its unit (default: the chair's)",
    )
    parser.add_argument("--flat", action="store_true", help="the blank before anything is carved")
    parser.add_argument(
        "--workers", type=int, metavar="N", help="worker processes (needs the extra 'people')"
    )
    parser.add_argument(
        "--sizes", type=int, metavar="K",
        help="also the best sets of 1 to K seats, up to 4, and who takes which (of an order; 40 to 100000 people)",
    )  # fmt: skip
    parser.add_argument(
        "--sizes-to", metavar="DIR", help="with --sizes: write the seats of these sets there, as seat files"
    )
    parser.add_argument(
        "--worst",
        metavar="W",
        help="with --sizes: how much the worst-off tenth counts beside the share, 0 to 1",
    )
    parser.add_argument(
        "--scheduler", metavar="ADDRESS", help="the workers of a Dask scheduler, such as tcp://10.0.0.5:8786"
    )
    parser.add_argument(
        "--keep",
        metavar="DIR",
        help="keep finished parts there; the same command goes on from them if it is cut short",
    )
    parser.add_argument(
        "--picture",
        metavar="FILE",
        help="share served over stature and mass, peaks, the worst-off tenth (PNG)",
    )
    parser.add_argument(
        "--to", metavar="FILE", help="all people as a table (.parquet; needs the extra 'people')"
    )
