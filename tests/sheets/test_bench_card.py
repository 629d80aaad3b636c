"""The bench card, read back from the PDF: its figures against the order, worked out anew without the card's code."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
from read_back import pages, words_on
from scipy.spatial.transform import Rotation

from seatmesh.chair import Chair
from seatmesh.sheets.all_sheets import sheets_of
from seatmesh.sheets.sheet_wishes import HoleWishes, SheetWishes
from seatmesh.units import parse_length_mm
from seatmesh.wood.joint import Joint

LENGTH = r"(\d[\d./ ]*(?: mm|\"))"
JOINTS = (
    Joint("leg mortise", 165.0, 90.0, diameter_mm=30.0, angle_deg=12.0, depth_mm=24.0),
    Joint("leg mortise", 150.0, 350.0, diameter_mm=28.0, angle_deg=14.0, depth_mm=22.0, side="one"),
    Joint("spindle", 60.0, 22.0, diameter_mm=14.0, angle_deg=11.0, depth_mm=30.0),
    Joint("back post", 200.0, 30.0, diameter_mm=25.4, angle_deg=10.0, sight_line_deg=150.0),
)
STEP = {"mm": 0.1, "in": 25.4 / 32.0}


@pytest.fixture(scope="module")
def jointed(carve):
    return carve(joints=JOINTS, gutter_depth_mm=2.0)


def card_text(seat, bodies=(), units="mm", **wishes) -> str:
    paper = "A4" if units == "mm" else "Letter"
    made = sheets_of(seat, bodies, SheetWishes(paper=paper, units=units, **wishes), ("pdf",))
    assert made.pages[0] == "Bench card"
    assert "Bench card" not in made.pages[1:]
    return " ".join(words_on(pages(made.files["sheets.pdf"])[0]).split())


def told(text: str, before: str, after: str = "") -> float:
    found = re.search(f"{before} {LENGTH}{after}", text)
    assert found, (before, text)
    return parse_length_mm(found[1])


@pytest.mark.parametrize("units", ["mm", "in"])
def test_height_comes_from_the_knee_back_and_shoes(jointed, viola, units: str) -> None:
    """The edge stands 10 mm below the shod knee-back (common practice), the rear lower by the rake's sine."""
    seat = replace(jointed, chair=Chair(None, 3.0, 30.0))
    text = card_text(seat, (viola,), units)
    front = viola.value("popliteal_height_mm") + 30.0 - 10.0
    drop = seat.blank.depth_mm * float(np.sin(3.0 * np.pi / 180.0))
    half = 0.5 * STEP[units] + 1e-6
    assert told(text, "Front edge") == pytest.approx(front, abs=half)
    assert told(text, "Rear edge", " lower") == pytest.approx(drop, abs=half)
    assert told(text, "lower than the front edge,") == pytest.approx(front - drop, abs=half)
    assert "a rake of 3 degrees" in text


def test_an_ordered_height_is_the_order_s_and_says_how_knees_stand_to_it(jointed, viola) -> None:
    text = card_text(replace(jointed, chair=Chair(450.0, 0.0, 25.0)), (viola,))
    assert told(text, "Front edge") == 450.0
    assert "as ordered" in text
    assert "Rear edge level with the front edge" in text
    above = 450.0 - viola.value("popliteal_height_mm") - 25.0
    assert told(text, "in shoes: viola") == pytest.approx(abs(above), abs=0.06)
    assert f"{'above' if above > 0.0 else 'below'}." in text


def test_without_order_or_sitter_no_height_is_made_up(jointed) -> None:
    assert "no height was ordered and no sitter is known" in card_text(jointed)


def test_of_several_sitters_the_shortest_legs_decide(jointed, viola) -> None:
    short = replace(
        viola,
        name="short",
        measures={
            **viola.measures,
            "popliteal_height_mm": replace(viola.measures["popliteal_height_mm"], value=380.0)
            if "popliteal_height_mm" in viola.measures
            else viola.measures["stature_mm"],
        },
    )
    text = card_text(jointed, (viola, short))
    assert told(text, "Front edge") == pytest.approx(380.0 + 25.0 - 10.0, abs=0.06)


def ends_mm(joint: Joint, seat, side: float) -> tuple[np.ndarray, float]:
    """Return places (n, 3) of a flat hole's end in the frame of the blank, turned in space, z up from the top face."""
    below = joint.kind == "leg mortise"
    if joint.sight_line_deg is not None:
        sight = np.radians(joint.sight_line_deg)
    elif below:
        sight = np.arctan2(joint.x_mm, joint.y_mm - 0.5 * seat.blank.depth_mm)
    else:
        sight = np.pi
    # Upright axis into the wood, tipped about the horizontal line square to the sight line.
    away = np.array([np.sin(sight), np.cos(sight), 0.0])
    up = np.array([0.0, 0.0, 1.0 if below else -1.0])
    turn = Rotation.from_rotvec(np.radians(joint.angle_deg) * np.cross(up, -away))
    angle, radius = np.meshgrid(
        np.linspace(0.0, 2.0 * np.pi, 181), 0.5 * joint.diameter_mm * np.linspace(0, 1, 31)
    )
    disc = np.column_stack(
        [(radius * np.cos(angle)).ravel(), (radius * np.sin(angle)).ravel(), 0.0 * radius.ravel()]
    )
    at = turn.apply(disc + up * joint.depth_mm)
    foot = np.array([joint.x_mm, joint.y_mm, -seat.blank.thickness_mm if below else 0.0])
    return (at + foot) * [side, 1.0, 1.0], float(np.degrees(sight))


@pytest.mark.parametrize("units", ["mm", "in"])
def test_joints_are_told_as_ordered_and_the_wood_left_is_what_is_left(jointed, units: str) -> None:
    text = card_text(jointed, (), units)
    table = text.split("Places are where")[0]
    rows = re.split(r"(?=leg mortise|spindle|back post)", table)[1:]
    assert len(rows) == len(JOINTS)
    for row, joint in zip(rows, JOINTS, strict=True):
        assert row.startswith(joint.kind)
        assert f"{joint.angle_deg:g} deg" in row
        if joint.depth_mm is None:
            assert "through" in row
            continue
        face = "below" if joint.kind == "leg mortise" else "above"
        found = re.search(rf"{LENGTH} from {face} {LENGTH}", row)
        assert found, row
        depth, left = (parse_length_mm(one) for one in found.groups())
        assert -1e-3 <= joint.depth_mm - depth <= STEP[units]
        worked_out = []
        for side in (1.0, -1.0) if joint.side == "both" else (1.0,):
            end, sight = ends_mm(joint, jointed, side)
            x, y, z = end.T
            over = -jointed.depth_mm(x, y) - z if face == "below" else z + jointed.blank.thickness_mm
            worked_out.append(float(over.min()))
        assert -0.06 <= min(worked_out) - left <= STEP[units] + 0.05
        if joint.kind == "leg mortise":
            assert f"{abs(sight):.1f} deg {'outward' if joint.side == 'both' else 'right'}" in row


def test_a_joint_that_breaks_out_is_marked(carve) -> None:
    deep = Joint("leg mortise", 100.0, 200.0, diameter_mm=20.0, depth_mm=40.0, keep_mm=2.0)
    seat = carve()
    text = card_text(replace(seat, blank=replace(seat.blank, joints=(deep,))))
    assert "! none" in text
    assert "breaks out of the finished surface" in text


@pytest.mark.parametrize("units", ["mm", "in"])
def test_stations_deepest_place_and_stops_are_the_seat_s_own(jointed, units: str) -> None:
    wishes = SheetWishes(paper="A4" if units == "mm" else "Letter", units=units, holes=HoleWishes())
    made = sheets_of(jointed, (), wishes, ("pdf",))
    text = " ".join(words_on(pages(made.files["sheets.pdf"])[0]).split())
    for one in made.stations:
        assert f" {one.letter} {one.runs}, " in text
    x, y = np.meshgrid(np.arange(-200.0, 200.5, 0.5), np.arange(60.0, 380.0, 0.5))
    deepest = float(replace(jointed, blank=replace(jointed.blank, gutter_depth_mm=0.0)).depth_mm(x, y).max())
    assert -0.06 <= deepest - told(text, "Deepest place", " deep") <= STEP[units]
    stops = dict(re.findall(rf"stop {LENGTH}: ((?:\d+\*?(?:, )?)+)", text))
    listed = {
        int(n.strip(" *")): parse_length_mm(stop)
        for stop, numbers in stops.items()
        for n in numbers.split(",")
    }
    assert listed == pytest.approx({one.number: one.stop_mm for one in made.holes}, abs=1e-3)
    assert "Only with this bit" in text
    page = made.pages.index("Depth holes") + 1
    assert f"page {page}" in text


def test_only_what_the_seat_has_is_to_be_worked(carve) -> None:
    plain = card_text(carve())
    for word in ("gutter", "glue", "Joints", "Depth holes", "bevel"):
        assert word.lower() not in plain.lower()
    rich = card_text(carve(gutter_depth_mm=2.0, boards=3, joints=JOINTS))
    for word in ("Then gutter", "Glue up the boards", "Drill the joints"):
        assert word in rich


def test_with_many_holes_and_joints_it_stays_one_page_with_nothing_over_its_foot(jointed) -> None:
    many = tuple(replace(JOINTS[2], x_mm=20.0 + 22.0 * k, y_mm=22.0, diameter_mm=12.0) for k in range(9))
    seat = replace(jointed, blank=replace(jointed.blank, joints=(*JOINTS, *many)))
    made = sheets_of(seat, (), SheetWishes(paper="Letter", holes=HoleWishes(spacing_mm=20.0)), ("pdf",))
    page = pages(made.files["sheets.pdf"])[0]
    text = page.get_textpage()
    lows = [
        text.get_charbox(k)[1] * 25.4 / 72.0
        for k in range(text.count_chars())
        if text.get_text_range(k, 1).strip()
    ]
    # The foot's own words lie below 28 mm, and nothing of the card may stand between 28 and 32 mm.
    assert not [low for low in lows if 28.0 < low < 31.0]
    assert made.pages.count("Bench card") == 1
