"""Seats that the tests share: made from formulas, so that what they should be is known."""

from __future__ import annotations

import importlib.util
import os
import sys
from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import Any

# Each test process has a core for itself: threads of the linear algebra would share it with those of all others.
for _threads in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
    os.environ.setdefault(_threads, "1")

import numpy as np
import pytest
from numpy.typing import NDArray

from seatmesh.spline import BicubicSpline, clamped_knots
from seatmesh.surface import Seat
from seatmesh.wood.blank import Blank

Carve = Callable[..., Seat]

TESTS = Path(__file__).parent
MARKED = {
    "browser": ("browser_page",),
    "fuzz": ("service/test_openapi.py", "test_names.py", "test_csv_table.py", "test_units.py"),
    "kernel": (
        "reading", "solids", "mock_up", "verification", "formats/test_step.py", "picture/test_view3d.py",
        "test_solid.py",
    ),
    "whole": (
        "cli", "service", "guide", "sheets/test_hole_pages.py", "sheets/test_holes.py", "design/test_advice_report.py",
        "picture/test_wood_pictures.py", "design/test_ending.py", "design/test_fitting_log.py", "fit/test_bounds.py",
        "gauge/test_save.py",
    ),
}  # fmt: skip
"""What is no part of the quick suite, by folder or file below this one; each has its marker and all are run by CI."""


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        path = item.path.relative_to(TESTS)
        for marker, places in MARKED.items():
            if any(path.is_relative_to(place) for place in places):
                item.add_marker(getattr(pytest.mark, marker))


def dish_depth_mm(x: NDArray[np.float64], y: NDArray[np.float64]) -> NDArray[np.float64]:
    """Depth of a usual hollow: 18 mm under the sit bones, a pommel in front, negative where wood stays."""
    along = np.where(y < 135.0, (y - 135.0) / 72.0, (y - 135.0) / 330.0)
    ridge = 9.0 * np.exp(-((x / 28.0) ** 2)) / (1.0 + np.exp(-(y - 270.0) / 14.0))
    return np.asarray(18.5 * (1.0 - along**2 - (x / 218.0) ** 2) - ridge)


def _knot_averages(knots: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.asarray((knots[1:-3] + knots[2:-2] + knots[3:-1]) / 3.0)


def carve_seat(deeper_on_the_right_mm: float = 0.0, front_roll_mm: float = 20.0, **blank: Any) -> Seat:
    """Return a carved seat on a blank with the given fields; an even one mirrors itself to the bit."""
    knots_x, knots_y = clamped_knots(-240.0, 240.0, 40), clamped_knots(50.0, 430.0, 32)
    x, y = np.meshgrid(_knot_averages(knots_x), _knot_averages(knots_y), indexing="ij")
    depth = dish_depth_mm(x, y)
    coefficients = 0.5 * (depth + depth[::-1]) + deeper_on_the_right_mm * np.tanh(x / 60.0)
    hollow = BicubicSpline(knots_x, knots_y, coefficients)
    return Seat(Blank(**blank), hollow=hollow, front_roll_mm=front_roll_mm, title="viola")


@pytest.fixture(scope="session")
def carve() -> Carve:
    """Return the function that makes a carved seat."""
    return carve_seat


@pytest.fixture(scope="session")
def carved_seat() -> Seat:
    """Return a usual carved seat, its two sides mirroring each other."""
    return carve_seat()


@pytest.fixture(scope="session")
def uneven_seat() -> Seat:
    """Return a carved seat, up to 3 mm deeper on the sitter's right and as much shallower on the left."""
    return carve_seat(deeper_on_the_right_mm=3.0)


@pytest.fixture(scope="session")
def by_feel() -> ModuleType:
    """Return the module of carvings that no spline drew, and of bars and scatter."""
    return _module("carvings_by_feel", "gauge")


@pytest.fixture(scope="session")
def photographs() -> ModuleType:
    """Return the module of photographs drawn by chance, whose truth is known."""
    return _module("photographs", "marks")


def _module(name: str, room: str) -> ModuleType:
    spec = importlib.util.spec_from_file_location(name, TESTS / room / f"{name}.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    # Dataclasses look their module up by name.
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module
