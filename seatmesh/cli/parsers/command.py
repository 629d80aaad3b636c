"""One command, with what all of them take."""

from __future__ import annotations

import argparse
from typing import TypeAlias

Commands: TypeAlias = "argparse._SubParsersAction[argparse.ArgumentParser]"


def add_command(commands: Commands, name: str, words: str) -> argparse.ArgumentParser:
    """Return the parser of a new command, or of an action of one."""
    parser = commands.add_parser(name, help=words, description=words)
    parser.add_argument(
        "--json", action="store_true", help="print one JSON object, and nothing else, on standard output"
    )
    return parser


def add_overwrite(parser: argparse.ArgumentParser) -> None:
    """Add the option of all commands that write into a job's folder."""
    parser.add_argument(
        "--overwrite",
        action="store_true",
        help="write over a folder of the same title that was made from another order",
    )
