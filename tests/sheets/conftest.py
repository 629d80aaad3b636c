"""Sheets that several tests read."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from seatmesh.body.body_file import bodies_folder, read_body
from seatmesh.sheets.all_sheets import sheets_of
from seatmesh.sheets.sheet_wishes import HoleWishes, SheetWishes
from seatmesh.wood.joint import Joint

sys.path[:0] = [str(Path(__file__).parents[1] / "paper"), str(Path(__file__).parent)]


@pytest.fixture(scope="session")
def seat(carve):
    """A carved seat with everything on it that a plan can show."""
    joints = (Joint("leg mortise", x_mm=165.0, y_mm=90.0, diameter_mm=30.0, angle_deg=10.0),)
    return carve(gutter_depth_mm=3.0, boards=3, joints=joints)


@pytest.fixture(scope="session")
def viola():
    return read_body(bodies_folder() / "viola.toml")


@pytest.fixture(scope="session")
def on_a_roll(seat, viola):
    """Everything, on one page a drawing."""
    return sheets_of(seat, (viola,), SheetWishes(paper="roll", holes=HoleWishes()), ("pdf", "dxf", "svg"))
