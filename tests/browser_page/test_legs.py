"""Legs as the page offers them keep the floor and cost the hollow nothing; what typed ones cost is said.

The wood over a mortise is measured apart from the library's own bounds: by rays through the solid that is given out.
"""

import io
import json
import re
import urllib.request

import numpy as np
import pytest
import trimesh

from seatmesh.wood.joint import Joint

from .conftest import kept_job, shaped
from .jobs import ONE

TOLERANCE_MM = 0.1
OFFER = """
    const { orderOf } = await import('/page/order/order-of-job.js');
    const joint = one.OFFERED.slice(0, given.pairs).map((leg, number) => ({ ...leg, id: String(number) }));
    return orderOf({ title: 'legs', units: 'mm', chair: {}, marks: [], adjustments: [], others: { joint },
        sitters: given.sitters, blank: given.blank, wishes: given.wishes });
"""


def asked(address, path, body=None):
    data = None if body is None else json.dumps(body).encode()
    request = urllib.request.Request(address + path, data, {"Content-Type": "application/json"})
    with urllib.request.urlopen(request, timeout=300) as answer:
        return answer.read()


def offered(modules, thickness, pairs, floor=20, **wishes):
    blank = {"thickness_mm": thickness} | ({} if floor == 20 else {"floor_mm": floor})
    return modules(
        "wood/mortises.js",
        OFFER,
        {"pairs": pairs, "sitters": ONE["sitters"], "blank": blank, "wishes": wishes},
    )


def wood_over(mesh, leg, thickness, blank_depth):
    """Return the least wood along the leg from the end of a blind mortise up to the carved surface, right and left."""
    lean = np.radians(leg["angle_deg"])
    least = np.inf
    for side in (1.0, -1.0):
        foot = np.array([side * leg["x_mm"], leg["y_mm"], -thickness])
        away = np.array(
            [foot[0], foot[1] - 0.5 * blank_depth]
        )  # a foot leans away from the middle of the seat
        away /= np.linalg.norm(away)
        axis = np.array([*(-np.sin(lean) * away), np.cos(lean)])
        across = np.cross(axis, [*away, 0.0])
        across /= np.linalg.norm(across)
        other = np.cross(axis, across)
        turns = np.linspace(0.0, 2.0 * np.pi, 48, endpoint=False)
        radii = 0.5 * leg["diameter_mm"] * np.array([0.0, 0.5, 1.0])
        disc = np.array([r * (np.cos(t) * across + np.sin(t) * other) for r in radii for t in turns])
        from_here = foot + leg["depth_mm"] * axis + disc
        least = min(least, *(way_out(mesh, one, axis) for one in from_here))
    return least


def way_out(mesh, start, along):
    """Return how far a ray goes from a point inside a solid until it leaves it, triangle by triangle (from memory)."""
    one, two = (mesh.triangles[:, k] - mesh.triangles[:, 0] for k in (1, 2))
    normal = np.cross(along, two)
    volume = np.einsum("ij,ij->i", one, normal)
    with np.errstate(divide="ignore", invalid="ignore"):
        to = start - mesh.triangles[:, 0]
        u = np.einsum("ij,ij->i", to, normal) / volume
        q = np.cross(to, one)
        v = q @ along / volume
        far = np.einsum("ij,ij->i", two, q) / volume
        hit = (np.abs(volume) > 1e-9) & (u >= 0.0) & (v >= 0.0) & (u + v <= 1.0) & (far > 0.0)
    assert hit.any()
    return far[hit].max()


def check_offer(address, order, floor):
    """Shape an order as it is offered, and the same without its legs; return how much the legs raise the peak."""
    report = json.loads(asked(address, "/seats", order))
    thickness = order["blank"]["thickness_mm"]
    grid = json.loads(asked(address, f"/seats/{report['id']}/depth-grid?spacing_mm=4"))
    assert np.max(grid["depth_mm"]) <= thickness - floor + 1e-6
    mesh = trimesh.load(
        io.BytesIO(asked(address, f"/seats/{report['id']}/mesh.stl?tolerance_mm={TOLERANCE_MM}")),
        file_type="stl",
    )
    for leg in order.get("joint", []):
        if "depth_mm" in leg:
            assert leg["depth_mm"] >= 0.75 * leg["diameter_mm"]
            assert wood_over(mesh, leg, thickness, report["blank"]["depth_mm"]) >= floor - TOLERANCE_MM
    assert not [words for words in report["notes"] if re.search(r"joint|nothing is carved|undulation", words)]
    bare = json.loads(
        asked(address, "/seats", {key: value for key, value in order.items() if key != "joint"})
    )
    return report["sitters"][0]["peak_best_kpa"] / bare["sitters"][0]["peak_best_kpa"] - 1.0


@pytest.mark.parametrize(
    ("thickness", "floor", "wishes"),
    [(32, 20, {}), (45, 20, {}), (60, 20, {"depth_mm": 10})],
)
def test_legs_as_offered_keep_the_floor_and_cost_nothing(modules, address, thickness, floor, wishes):
    order = offered(modules, thickness, 2, floor, **wishes)
    assert len(order["joint"]) == 2
    assert all("depth_mm" in leg for leg in order["joint"]) == (
        thickness - floor - wishes.get("depth_mm", 18) >= 27
    )
    assert check_offer(address, order, floor) < 0.02


@pytest.mark.slow
@pytest.mark.parametrize("thickness", range(32, 61))
def test_legs_as_offered_at_every_thickness(modules, address, thickness):
    for pairs in (1, 2):
        assert check_offer(address, offered(modules, thickness, pairs), 20) < 0.02


@pytest.mark.slow
@pytest.mark.parametrize("floor", [12, 16, 25])
@pytest.mark.parametrize("depth", [8, 14, 24])
def test_legs_as_offered_with_other_floors_and_wishes(modules, address, floor, depth):
    for thickness in (38, 44, 52, 60):
        if thickness - floor >= depth:
            order = offered(modules, thickness, 2, floor, depth_mm=depth)
            assert check_offer(address, order, floor) < 0.02


def test_wood_that_stays_round_a_mortise_is_the_librarys(modules):
    assert (
        modules("wood/mortise-depth.js", "return one.AROUND_MM;")
        == Joint("circle", diameter_mm=1.0).around_mm
    )


def test_thin_wood_gets_the_hollow_that_it_has_room_for(modules):
    for thickness, depth in ((38, None), (37, 17), (32, 12), (24, 4), (23, None)):
        wishes = offered(modules, thickness, 0)["wishes"]
        assert wishes.get("depth_mm") == depth
    assert offered(modules, 32, 0, depth_mm=15)["wishes"] == {"depth_mm": 15}  # what is wished is the maker's


def test_two_pairs_on_the_page_and_what_deeper_ones_cost(opened, address):
    page = opened(ONE, "wood")
    shaped(page)
    add = page.get_by_role("button", name="Add a pair of legs")
    add.click()
    add.click()
    page.locator("summary", has_text="Pair 2").wait_for()
    page.get_by_text("Nan: the legs add less than 2 % to the peak").wait_for()
    assert page.locator("summary", has_text="through").count() == 2
    page.locator("summary", has_text="Pair 1").click()
    depth = page.locator('[data-key="joint.0.depth_mm"] input')
    # Under the thighs a deep one is in the way, where those that are offered are not.
    for key, value in (("x_mm", "90"), ("y_mm", "180"), ("depth_mm", "28")):
        field = page.locator(f'[data-key="joint.0.{key}"] input')
        field.fill(value)
        field.press("Tab")
    cost = page.locator("p", has_text=re.compile(r"the legs add \d+\s% to the peak"))
    cost.wait_for()
    share, now, bare = map(
        float,
        re.search(
            r"add (\d+)\s% to the peak, ([\d.]+) kPa instead of ([\d.]*\d)", cost.inner_text()
        ).groups(),
    )
    assert now / bare - 1 == pytest.approx(share / 100, abs=0.012)
    assert share >= 5
    assert (
        "nothing is carved there"
        in page.locator("section", has_text="What the wood does to the seat").inner_text()
    )
    page.get_by_role("button", name="Let the wood set the depth for pair 1").click()
    page.get_by_text("Nan: the legs add less than 2 % to the peak").wait_for()
    # Thicker wood, shallower hollow: blind ones have room, and the depth follows without being asked.
    page.get_by_label("Thickness", exact=True).fill("65")
    page.get_by_label("Thickness", exact=True).press("Tab")
    assert float(depth.input_value()) == 27.0  # (65 - 14 - 22.5 sin 12) / cos 12 - 20, to the half below
    assert "depth_mm" not in kept_job(page)["others"]["joint"][0]


def test_the_floor_is_said_to_be_reached_where_it_is(opened):
    page = opened({**ONE, "blank": {"thickness_mm": 32}, "wishes": {}}, "wood")
    shaped(page)
    said = page.get_by_text("The floor is reached: at its deepest")
    said.wait_for()
    deepest, left = map(float, re.findall(r"([\d.]+) mm", said.inner_text()))
    assert left == pytest.approx(20.0, abs=0.3)
    assert deepest + left == pytest.approx(32.0, abs=0.06)


def test_a_pair_that_was_removed_is_put_back_in_its_own_place_among_the_joints(opened):
    """Reports name joints by their number in the order."""
    leg = {"kind": "leg mortise", "x_mm": 150, "diameter_mm": 28, "depth_mm": 20, "keep_mm": 10}
    spindle = {"kind": "spindle", "x_mm": 60, "y_mm": 25, "diameter_mm": 12, "depth_mm": 20}
    joints = [{**leg, "y_mm": 330}, spindle, {**leg, "y_mm": 90}]
    page = opened({**ONE, "others": {"joint": joints}}, "wood")
    page.locator("summary").filter(has_text="Pair 1").click()
    page.get_by_role("button", name="Remove pair 1").click()
    assert [one["y_mm"] for one in kept_job(page)["others"]["joint"]] == [25, 90]
    page.get_by_role("button", name="Put it back", exact=True).click()
    assert [one["y_mm"] for one in kept_job(page)["others"]["joint"]] == [330, 25, 90]
