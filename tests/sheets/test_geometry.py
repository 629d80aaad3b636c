"""Contour lines and section cards, read back from PDF, DXF and SVG by other libraries, against the surface itself."""

from __future__ import annotations

import io
import re

import ezdxf
import numpy as np
import pytest
import svgelements
from read_back import drawn_on, pages

from seatmesh.sheets.plan.contours import step_depths

WITHIN_MM = 0.05
MM_PER_PX = 25.4 / 96.0
CONTOUR, INK = (0x7A, 0x5A, 0x36), (0x2B, 0x26, 0x22)


def densified(points: np.ndarray) -> np.ndarray:
    return np.vstack([points, 0.5 * (points[1:] + points[:-1])])


def check_contours(seat, lines: list[np.ndarray], least: int) -> None:
    """Every line lies at one whole step of depth, and all steps are there."""
    seen = set()
    for points in lines:
        depth = seat.depth_mm(*densified(points).T)
        step = 3.0 * round(float(np.median(depth)) / 3.0)
        seen.add(step)
        assert np.abs(depth - step).max() <= WITHIN_MM
    assert len(lines) >= least
    assert seen == set(step_depths(seat, 3.0))


def check_card(seat, station: tuple[str, float], u: np.ndarray, z: np.ndarray) -> None:
    lower = z < 20.0
    at = np.full(int(lower.sum()), station[1])
    x, y = (u[lower], at) if station[0] == "across" else (at, u[lower])
    # At the very rim of gutter and wood the surface is steep, and a card is cut to a pencil line.
    ahead = seat.blank.ahead_of_deck_mm(x, y)
    smooth = np.abs(ahead) > 0.01
    assert smooth.sum() > 300
    assert np.abs(z[lower] + seat.depth_mm(x, y))[smooth].max() <= WITHIN_MM


def test_contours_in_the_pdf(seat, on_a_roll) -> None:
    """The outline of the plan, the widest heavy ring, says where the blank lies on it."""
    drawn = drawn_on(pages(on_a_roll.files["sheets.pdf"])[on_a_roll.pages.index("Plan")])
    outline = max(
        (one for one in drawn if one.width_mm == pytest.approx(0.5, abs=0.01)), key=lambda one: one.size_mm
    )
    assert outline.size_mm == pytest.approx((480.0, 430.0), abs=0.01)
    corner = outline.points_mm.min(axis=0)
    lines = [
        one.points_mm - corner - [240.0, 0.0]
        for one in drawn
        if one.colour == CONTOUR and not one.filled and round(one.width_mm, 2) in (0.22, 0.42)
    ]
    check_contours(seat, lines, least=8)


def test_cards_in_the_pdf(seat, on_a_roll) -> None:
    """A card's lower edge against the surface; its heavy rests say where the datum is, its ends where the wood is."""
    found = [one for page in pages(on_a_roll.files["sheets.pdf"])[3:] for one in drawn_on(page)]
    rings = [one for one in found if one.width_mm == pytest.approx(0.5, abs=0.01) and one.size_mm[1] < 60.0]
    rests = [one for one in found if one.width_mm == pytest.approx(1.0, abs=0.01)]
    assert len(rings) == len(on_a_roll.stations)
    for station, ring in zip(on_a_roll.stations, rings, strict=True):
        low, high = ring.points_mm.min(axis=0), ring.points_mm.max(axis=0)
        datum = next(one.points_mm[0, 1] for one in rests if low[1] - 0.01 <= one.points_mm[0, 1] <= high[1])
        # The wood of an upright side runs from -240 to 240 across; from the rear edge along.
        start = -240.0 if station.runs == "across" else 0.0
        u, z = (ring.points_mm - [low[0] - start, datum]).T
        check_card(seat, (station.runs, station.at_mm), u, z)


def test_contours_and_cards_in_the_dxf(seat, on_a_roll) -> None:
    document = ezdxf.read(io.StringIO(on_a_roll.files["sheets.dxf"].decode()))
    assert document.header["$INSUNITS"] == 4
    assert not document.audit().has_errors
    space = document.modelspace()
    check_contours(
        seat, [points for one in ("CONTOURS", "CONTOURS-HEAVY") for points in lines_of(space, one)], least=8
    )
    named = {one.dxf.name for one in document.layers}
    wanted = {"OUTLINE", "GRID", "CENTRE-LINE", "DECK-LINE", "GUTTER", "GLUE-LINES", "JOINTS", "DEEPEST"}
    assert wanted | {"DEPTH-HOLES", "PLACES-VIOLA", "STATIONS", "CARD-A", "CARD-E"} <= named
    for station in on_a_roll.stations:
        (ring,) = lines_of(space, f"CARD-{station.name}")
        # The straight upper edge of a card lies 28 mm over its datum, as its words say nowhere else.
        u, z = ring[:, 0], ring[:, 1] - ring[:, 1].max() + 28.0
        start = -240.0 if station.runs == "across" else 0.0
        check_card(seat, (station.runs, station.at_mm), u - u.min() + start, z)


def lines_of(space, layer: str) -> list[np.ndarray]:
    found = space.query(f'LWPOLYLINE[layer=="{layer}"]')
    return [np.array([point[:2] for point in one.get_points()]) for one in found]


def test_contours_and_cards_in_the_svg(seat, on_a_roll) -> None:
    data = on_a_roll.files["sheets.svg"]
    text = data.decode()
    width, height = (
        float(one) for one in re.search(r'width="([\d.]+)mm" height="([\d.]+)mm"', text).groups()
    )
    origin = np.array([float(one) for one in re.search(r"lies at x ([-\d.]+), y ([-\d.]+)\.", text).groups()])
    svg = svgelements.SVG.parse(io.BytesIO(data))
    assert (svg.width * MM_PER_PX, svg.height * MM_PER_PX) == pytest.approx((width, height), abs=1e-3)
    groups = {one.values.get("id"): one for one in svg.select(lambda one: isinstance(one, svgelements.Group))}

    def lines(layer: str) -> list[np.ndarray]:
        """Points in the frame of the blank; the reader gives px of 1/96 inch, y down."""
        shapes = groups[layer].select(lambda one: isinstance(one, svgelements.Polygon | svgelements.Polyline))
        return [
            (np.array([(p.x, p.y) for p in one.points]) * MM_PER_PX - origin) * [1.0, -1.0] for one in shapes
        ]

    check_contours(seat, lines("contours") + lines("contours-heavy"), least=8)
    (outline,) = lines("outline")
    assert outline.min(axis=0) == pytest.approx((-240.0, 0.0), abs=1e-3)
    for station in on_a_roll.stations:
        (ring,) = lines(f"card-{station.name}")
        start = -240.0 if station.runs == "across" else 0.0
        u, z = ring[:, 0] - ring[:, 0].min() + start, ring[:, 1] - ring[:, 1].max() + 28.0
        check_card(seat, (station.runs, station.at_mm), u, z)


def test_a_card_without_carving_is_straight(seat) -> None:
    from seatmesh.sheets.cards.card import card_of
    from seatmesh.station import Station
    from seatmesh.surface import Seat

    card = card_of(Seat(seat.blank.__class__()), Station("A", "across", 200.0))
    assert np.ptp(card.edge_mm[:, 1]) == 0.0
    assert card.rests_mm == ((-240.0, 240.0),)
