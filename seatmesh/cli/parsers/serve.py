"""What `seatmesh serve` takes."""

from __future__ import annotations

from seatmesh.cli.parsers.command import Commands, add_command


def add_serve(commands: Commands) -> None:
    """Add `serve`."""
    parser = add_command(commands, "serve", "Answer over HTTP on this machine.")
    parser.add_argument(
        "--host", default="127.0.0.1", metavar="H", help="address to listen at (default: 127.0.0.1)"
    )
    parser.add_argument(
        "--port", type=int, default=8000, metavar="P", help="port to listen at (default: 8000)"
    )
    parser.add_argument(
        "--token", metavar="T",
        help="token that requests must bring, also from SEATMESH_TOKEN; needed beyond this machine",
    )  # fmt: skip
    parser.add_argument(
        "--folder",
        default="out/service",
        metavar="DIR",
        help="where seats are kept: an empty folder, or one that it marked as its own (default: out/service)",
    )
    parser.add_argument(
        "--limit", action="append", default=[], metavar="NAME=VALUE",
        help="set a limit, such as facets=200000, or SEATMESH_LIMIT_FACETS and the like; see `seatmesh guide http`",
    )  # fmt: skip
    parser.add_argument(
        "--scheduler", metavar="ADDRESS",
        help="shape seats and make files on a Dask cluster, such as tcp://10.0.0.5:8786 (extra: cluster)",
    )  # fmt: skip
    parser.add_argument(
        "--allow-origin", metavar="O", help="let pages of this origin ask, such as https://shop.example"
    )
    parser.add_argument(
        "--prefix", default="", metavar="PATH",
        help="the path below which a proxy serves it, such as /seats-of-mine",
    )  # fmt: skip
    parser.add_argument(
        "--log",
        metavar="FILE",
        help="append a line for each request, in the Combined Log Format; - prints it",
    )
