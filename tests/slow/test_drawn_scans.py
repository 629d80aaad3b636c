"""Sixty scans as they come: depths within 0.1 mm rms, or refused in words; none wrong and accepted.

The scans are drawn in `tests/reading/drawn_scans.py`, which knows the seats and nothing of the reader. One command
prints what came of each: ``pytest -m slow -s tests/slow/test_drawn_scans.py``.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from drawn_scans import RIGHT_MM, Drawn, draw, off_mm

from seatmesh.errors import InputError
from seatmesh.reading.carved import read_carved

SEEDS = range(60)
HAVE_TO = ("alone", "table", "table near", "legs", "legs and floor", "blobs")
"""Scenes of which enough is seen: the reader may not talk itself out of these by refusing, unless the scan is wavy or
twelve times thinner on one side than on the other."""


def outcome(drawn: Drawn, folder: Path) -> tuple[float | None, str]:
    """Return how far off the depths are, rms; or None and the words of the refusal."""
    data, suffix = drawn.file()
    path = folder / f"scan{suffix}"
    path.write_bytes(data)
    try:
        got = read_carved(path, drawn.seat.blank, unit=drawn.unit)
    except InputError as refusal:
        return None, str(refusal).replace(str(path), "it")
    off = off_mm(drawn.seat, got.seat)
    return float(np.sqrt(np.mean(off**2))), f"{np.mean(off):+.4f} mm on the whole"


@pytest.mark.slow
@pytest.mark.parametrize("seed", SEEDS)
def test_a_drawn_scan_is_right_or_refused(seed: int, carve: Any, tmp_path: Path) -> None:
    drawn = draw(seed, carve)
    rms, words = outcome(drawn, tmp_path)
    what = "refused" if rms is None else f"{rms:.3f} mm rms"
    sys.stdout.write(f"\n{drawn.name}: {what}; {words}\n")
    if rms is None:
        assert "; " in words, "a refusal says what to do"
        hard = "uneven x12" in drawn.name or "waves" in drawn.name
        assert hard or drawn.scene not in HAVE_TO, words
        return
    assert rms <= RIGHT_MM
    assert drawn.scene != "crop"
