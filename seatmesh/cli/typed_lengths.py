"""A parser that takes a negative length after a space, as a maker types it: ``--gouge -60,160,35,2``.

The standard parser takes a word that begins with a minus for an option unless all of it is one plain number. Here
every word that begins like a negative number belongs to the option before it, in every command; no option begins with
a digit.
"""

from __future__ import annotations

import argparse
import re
import sys
from collections.abc import Iterable, Sequence
from typing import Any

NEGATIVE = re.compile(r"[-\u2212]\s*\.?[0-9]")
"""How a negative number begins: a minus, typed or typeset, and a digit or a point and a digit."""
OPTION = re.compile(r"--[a-z][a-z0-9-]*")


class LengthsParser(argparse.ArgumentParser):
    """An argument parser whose options take negative lengths as typed; its sub-commands' parsers are alike."""

    def parse_known_args(  # type: ignore[override]
        self, args: Sequence[str] | None = None, namespace: Any = None
    ) -> tuple[Any, list[str]]:
        """Parse as the standard parser does, each negative number joined to the option before it."""
        words = sys.argv[1:] if args is None else args
        return super().parse_known_args(joined(words), namespace)


def joined(words: Iterable[str]) -> list[str]:
    """Return the words of a command line with ``--option -5`` written as ``--option=-5``."""
    out: list[str] = []
    literal = False
    for word in words:
        literal = literal or word == "--"
        if not literal and out and OPTION.fullmatch(out[-1]) and NEGATIVE.match(word):
            out[-1] = f"{out[-1]}={word}"
        else:
            out.append(word)
    return out
