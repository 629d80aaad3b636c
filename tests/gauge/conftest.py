"""Carvings whose truth is known: a seat from a formula, its gauge sheet, and readings made from it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from seatmesh.gauge.bar.gauge_sheet import GaugeSheet, gauge_sheet
from seatmesh.gauge.bar.rod_gauge import Gauge
from seatmesh.gauge.readings.readings_file import Row
from seatmesh.surface import Seat

Floats = NDArray[np.float64]
GAUGE = Gauge(bar_height_mm=60.0, rod_offset_mm=5.0)
NOISE_MM = 0.25


def rows_of(sheet: GaugeSheet, deeper_mm: Any = 0.0, seed: int | None = None) -> tuple[Row, ...]:
    """Readings of a carving that is deeper than the sheet's seat by `deeper_mm` at each crossing, noise and all."""
    n = len(sheet.crossings)
    deeper = np.broadcast_to(np.asarray(deeper_mm, dtype=float), (n,))
    noise = np.zeros(n) if seed is None else np.random.default_rng(seed).normal(0.0, NOISE_MM, n)
    return tuple(
        Row(
            k + 2,
            c.point,
            c.x_mm,
            c.y_mm,
            c.expected_mm,
            c.expected_mm + deeper[k] + noise[k],
            c.datum_mm,
            c.mirror,
            placing=c.placing,
        )
        for k, c in enumerate(sheet.crossings)
    )


@pytest.fixture(scope="session")
def make_rows() -> Callable[..., tuple[Row, ...]]:
    return rows_of


@pytest.fixture(scope="session")
def gauged(carved_seat: Seat) -> GaugeSheet:
    """The usual carved seat's sheet on a 25 mm grid."""
    return gauge_sheet(carved_seat, 25.0, GAUGE)


@pytest.fixture(scope="session")
def places(gauged: GaugeSheet) -> tuple[Floats, Floats]:
    return np.array([c.x_mm for c in gauged.crossings]), np.array([c.y_mm for c in gauged.crossings])
