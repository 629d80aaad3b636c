"""The depth curve: the band that cannot be felt, and the depth that is enough."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from matplotlib.axes import Axes
from PIL import Image

from seatmesh.errors import ValueRefusedError
from seatmesh.picture.depth_curve import depth_curve

DEPTHS_MM = (0.0, 6.0, 10.0, 14.0, 18.0, 22.0)


def _rows(*peaks_kpa: float) -> list[dict[str, float]]:
    return [{"depth_mm": d, "peak_kpa": p} for d, p in zip(DEPTHS_MM, peaks_kpa, strict=True)]


def test_band_is_a_tenth_over_the_least_and_the_first_depth_within_is_ringed(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Goossens, Teeuw, Snijders 2005 (check value S13): 10 % can just be felt."""
    spans: list[tuple[float, float]] = []
    drawn: list[tuple[Any, ...]] = []
    span, plot = Axes.axhspan, Axes.plot

    def axhspan(self: Axes, low: float, high: float, **how: Any) -> Any:
        spans.append((low, high))
        return span(self, low, high, **how)

    def record(self: Axes, *given: Any, **how: Any) -> Any:
        drawn.append(given)
        return plot(self, *given, **how)

    monkeypatch.setattr(Axes, "axhspan", axhspan)
    monkeypatch.setattr(Axes, "plot", record)
    depth_curve({"violin 1": _rows(60.0, 50.0, 44.5, 43.9, 41.0, 40.0)}, BytesIO())
    assert spans == [pytest.approx((40.0, 44.0))]
    assert drawn[1][:2] == (14.0, 43.9)


def test_same_input_gives_the_same_bytes_in_any_order() -> None:
    rows = _rows(60.0, 50.0, 44.5, 43.9, 41.0, 40.0)
    first, again, other = BytesIO(), BytesIO(), BytesIO()
    depth_curve({"violin 1": rows}, first)
    depth_curve({"violin 1": rows[::-1]}, again)
    depth_curve({"violin 1": _rows(60.0, 50.0, 44.5, 43.9, 41.0, 36.0)}, other)
    assert first.getvalue() == again.getvalue()
    assert first.getvalue() != other.getvalue()
    assert Image.open(first).size == (1240, 874)


def test_several_sitters_and_a_single_depth_can_be_drawn() -> None:
    stream = BytesIO()
    depth_curve({"viola": _rows(*np.linspace(50, 30, 6)), "cello": _rows(*np.linspace(60, 45, 6))}, stream)
    depth_curve({"viola": [{"depth_mm": 0.0, "peak_kpa": 40.0}]}, BytesIO(), units="in")
    assert Image.open(stream).size == (1240, 874)


def test_refuses_nothing_to_draw_and_other_units(tmp_path: Path) -> None:
    nothing: list[dict[str, list[dict[str, float]]]] = [{}, {"viola": []}]
    for empty in nothing:
        with pytest.raises(ValueRefusedError, match="at least one depth"):
            depth_curve(empty, tmp_path / "curve.png")
    with pytest.raises(ValueRefusedError, match="allowed are mm, in"):
        depth_curve({"viola": [{"depth_mm": 0.0, "peak_kpa": 40.0}]}, tmp_path / "curve.png", units="cm")
