"""The demo: a string quartet's practice room, four sitters of different build, invented measures.

The cellist sits forward with thighs apart. There is one order for each player, and one seat that all four share.
"""

from __future__ import annotations

import tomllib
from typing import Any

PLAYERS = ("violin-1", "violin-2", "viola", "cello")


def demo_orders() -> dict[str, tuple[str, dict[str, Any]]]:
    """Return the orders by name, each as the text of an order file and as the table that it reads as."""
    texts = {player: _own(player) for player in PLAYERS} | {"quartet": _shared()}
    return {name: (text, tomllib.loads(text)) for name, text in texts.items()}


def _own(player: str) -> str:
    spoken = player.replace("-", " ")
    return f"""# A chair for one player of the quartet. Body files that come with the tool are named without a path.
title = "{spoken}"
units = "mm"

[blank]
# A long-thighed or short-thighed sitter wants another depth; see the report's distance to the knee-back.
width_mm = 480
depth_mm = {DEPTHS_MM[player]}
thickness_mm = 45

[chair]
rake_deg = 2

[[sitter]]
body = "{player}"

[wishes]
depth_mm = 18
"""


DEPTHS_MM = {"violin-1": 400, "violin-2": 450, "viola": 440, "cello": 430}
"""Depths of the players' blanks, each within reach of the player's knee-backs."""


def _shared() -> str:
    sitters = "\n".join(f'[[sitter]]\nbody = "{player}"\n' for player in PLAYERS)
    return f"""# One seat that all four players of the quartet share, each counting alike.
title = "quartet"
units = "mm"

[blank]
width_mm = 480
depth_mm = 400
thickness_mm = 45

{sitters}
[wishes]
depth_mm = 16
"""
