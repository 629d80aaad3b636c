"""The law in use against the finite elements it was not fitted to: `python tests/verification/held_out.py`.

Held out are tissue of 25 and 40 mm and bones of 15 mm, whole levels. The law has the constants of `seatmesh.tissue`,
its modulus that of the elements' tissue (alpha 3.5). Errors are relative; that of the share is a difference.
"""

from __future__ import annotations

import json
import sys
from dataclasses import dataclass, replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

import numpy as np
from fast_batch import misfit
from fast_law import VARIANTS, pressed_strain
from fit_fast_law import LAWS, WITHIN, is_held_out, is_in_reach, split
from reference_table import SIT_BONE, read_rows

from seatmesh.tissue import TISSUE

ALPHA = 3.5
KEPT = 0.35
"""Least share of the tissue that sitters were found to keep (B6)."""


@dataclass(frozen=True)
class HeldOut:
    """One case: tissue and bone (mm), load (N), share of the tissue left, errors of peak, area and share."""

    thickness_mm: float
    radius_mm: float
    load_n: float
    left: float
    errors: tuple[float, float, float]

    @property
    def within(self) -> bool:
        """Whether peak is within 15 %, area within 10 % and share within 0.05."""
        return bool(np.all(np.abs(self.errors) <= WITHIN))


def cases() -> list[HeldOut]:
    """Return every held-out case on a flat seat with at least a fifth of the tissue left."""
    stored = json.loads(LAWS.read_text(encoding="utf-8"))[f"alpha {ALPHA:g}, {VARIANTS[-1].name}"]
    law = replace(TISSUE, modulus_mpa=float(np.exp(stored["parameters"][0])) / 1000.0)
    errors = misfit(
        split(ALPHA)["held out"],
        lambda b, d: 1000.0 * law.response(pressed_strain(b, d), np.broadcast_to(b.free, b.skin.shape))[0],
    )
    rows = [
        row
        for row in read_rows(SIT_BONE)
        if row["alpha"] == ALPHA and is_in_reach(row) and is_held_out(row) and row["dish_mm"] == 0.0
    ]
    return [
        HeldOut(
            row["thickness_mm"],
            row["bone_radius_mm"],
            row["load"],
            row["tissue_left_mm"] / row["thickness_mm"],
            (float(error[0]), float(error[1]), float(error[2])),
        )
        for row, error in zip(rows, errors, strict=True)
    ]


def printed(table: list[HeldOut]) -> str:
    """Return the table as text."""
    lines = ["tissue  bone   load   left    peak    area   share  within"]
    for one in table:
        peak, area, share = one.errors
        lines.append(
            f"{one.thickness_mm:6g}{one.radius_mm:6g}{one.load_n:7g}{one.left:7.0%}{peak:+8.1%}{area:+8.1%}"
            f"{share:+8.3f}  {'yes' if one.within else 'NO'}"
        )
    usual = [one for one in table if one.left >= KEPT]
    lines.append(f"within 15 % / 10 % / 0.05: {sum(one.within for one in table)} of {len(table)}")
    lines.append(
        f"of those that keep 35 % of the tissue (B6): {sum(one.within for one in usual)} of {len(usual)}"
    )
    return "\n".join(lines)


if __name__ == "__main__":
    sys.stdout.write(printed(cases()) + "\n")
