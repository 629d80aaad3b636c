"""Invented seats and sittings for the pictures: smooth fields of plausible size, no model behind."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from io import BytesIO

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from seatmesh.body.body import Body
from seatmesh.body.figure.marked_places import MarkedPlace, Side
from seatmesh.contact import Load, Pose
from seatmesh.picture.style import Target
from seatmesh.seating.sitting import Sitting
from seatmesh.seating.sitting_figures import Figures
from seatmesh.spline import BicubicSpline, clamped_knots
from seatmesh.surface import Seat
from seatmesh.wood.blank import Blank

Floats = NDArray[np.float64]
Drawn = Callable[[Callable[[Target], None]], NDArray[np.int16]]
SIT_BONE_MM = (57.0, 165.0)


def _bump(x: Floats, y: Floats, at: tuple[float, float], width: float, length: float) -> Floats:
    return np.asarray(np.exp(-(((x - at[0]) / width) ** 2) - ((y - at[1]) / length) ** 2))


def _both(x: Floats, y: Floats, at: tuple[float, float], width: float, length: float) -> Floats:
    return _bump(x, y, at, width, length) + _bump(x, y, (-at[0], at[1]), width, length)


def _thighs(x: Floats, y: Floats, width: float) -> Floats:
    along = 1.0 / (1.0 + np.exp(-(y - 205.0) / 22.0))
    middle = 78.0 + 0.11 * (y - 165.0)
    return np.asarray(
        along * (np.exp(-(((x - middle) / width) ** 2)) + np.exp(-(((x + middle) / width) ** 2)))
    )


def _hollow(blank: Blank) -> BicubicSpline:
    knots_x = clamped_knots(-blank.width_mm / 2, blank.width_mm / 2, 24)
    knots_y = clamped_knots(blank.deck_mm, blank.depth_mm, 20)
    x, y = (np.array([k[i + 1 : i + 4].mean() for i in range(len(k) - 4)]) for k in (knots_x, knots_y))
    x, y = x[:, None], y[None, :]
    depth = 19.0 * _both(x, y, (66.0, 168.0), 88.0, 95.0) / 1.25 + 9.0 * _thighs(x, y, 62.0) - 3.5
    return BicubicSpline(knots_x, knots_y, depth)


@pytest.fixture(scope="session")
def seat() -> Seat:
    blank = Blank()
    return Seat(blank=blank, hollow=_hollow(blank), front_roll_mm=20.0, title="side chair, violin 1")


@pytest.fixture(scope="session")
def sitting(seat: Seat) -> Sitting:
    """One sitter, the same left and right to the bit, on a grid of 4 mm."""
    x, y = np.arange(-238.0, 239.0, 4.0), np.arange(2.0, 430.0, 4.0)
    column, row = x[None, :], y[:, None]
    raw = (
        43.0 * _both(column, row, SIT_BONE_MM, 13.0, 17.0)
        + 6.5 * _both(column, row, (72.0, 160.0), 62.0, 66.0)
        + 5.2 * _thighs(column, row, 56.0)
    )
    pressure = np.maximum(0.0, raw - 1.4)
    surface = -seat.depth_mm(column, row)
    skin = surface - 22.0 * pressure / (pressure + 8.0) + 9.0 * np.maximum(0.0, 1.4 - raw) ** 2
    bone = surface + 16.0 + 60.0 * (1.0 - np.clip(_both(column, row, SIT_BONE_MM, 30.0, 40.0), 0, 1))
    figures = Figures.known(
        "no body was pressed",
        load_n=482.0,
        contact_area_cm2=float((pressure > 0).sum() * 0.16),
        mean_kpa=float(pressure[pressure > 0.67].mean()),
        peak_kpa=float(pressure.max()) * 0.96,
    )
    body = Body(name="violin 1", sex=None, measures={})
    return Sitting(
        body=body,
        seat=seat,
        posture="upright",
        x_mm=x,
        y_mm=y,
        pressure_kpa=pressure,
        skin_mm=skin,
        bone_mm=np.where(bone < surface + 70, bone, np.inf),
        wood=np.ones_like(pressure),
        pose=Pose(20.0, 0.0, 0.0, Load(482.0, 0.0, 190.0)),
        figures=figures,
        verdict="converged",
    )


@pytest.fixture(scope="session")
def lopsided(sitting: Sitting) -> Sitting:
    """A sitter who presses harder on the right."""
    share = 1.0 + 0.35 * np.tanh(sitting.x_mm / 40.0)
    body = Body(name="cello", sex=None, measures={})
    return replace(sitting, body=body, pressure_kpa=sitting.pressure_kpa * share)


@pytest.fixture(scope="session")
def places() -> tuple[MarkedPlace, ...]:
    marks = []
    sides: tuple[tuple[Side, float], ...] = (("left", -1.0), ("right", 1.0))
    for side, sign in sides:
        marks += [
            MarkedPlace("hip end", side, ((sign * 182.0, 170.0),), 11.0, 14.0),
            MarkedPlace("inner thigh line", side, ((sign * 22.0, 240.0), (sign * 46.0, 430.0)), 10.0, 10.0),
            MarkedPlace("outer thigh line", side, ((sign * 172.0, 205.0), (sign * 158.0, 430.0)), 11.0, 12.0),
            MarkedPlace("sit bone", side, ((sign * 57.0, 165.0),), 9.0, 13.0),
        ]
    end = MarkedPlace("end of the spine", "middle", ((0.0, 104.0),), 4.0, 15.0)
    knee = MarkedPlace("knee-back line", "middle", ((-150.0, 492.0), (150.0, 492.0)), 12.0, 19.0)
    return (*marks, end, knee)


@pytest.fixture(scope="session")
def drawn() -> Drawn:
    """Draw into memory and give the pixels back, shape (rows, columns, 3)."""

    def pixels(draw: Callable[[Target], None]) -> NDArray[np.int16]:
        stream = BytesIO()
        draw(stream)
        return np.asarray(Image.open(stream).convert("RGB"), dtype=np.int16)

    return pixels
