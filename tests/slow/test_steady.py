"""Fifty orders whose sitters weigh 0.1 % more: the seat moves by less than anybody could cut, or says that it stopped.

A scale for people shows 0.1 kg, which is 0.1 % of a person: two weighings of one sitter must not give two seats.
"""

import sys
from copy import deepcopy

import numpy as np
import pytest

from seatmesh.design.orders.order import order_from_table
from seatmesh.design.shape import shape_seat
from seatmesh.errors import InputError, NotSolvedError
from seatmesh.fit.fair.fairness import undulations
from seatmesh.wood.blank import OUTLINES

pytestmark = pytest.mark.slow

HEAVIER = 1.001
MOST_MM = 0.2
"""Where the peak's valley is flat a search may end farther along it. With the bowl's form 95 % of the seats move by
less than 0.06 mm (least pressure alone by the law before: 0.04); a rod gauge reads to 0.1."""
ORDERS = 50

OTHERS = (
    ("male", 1690, 71.5),
    ("female", 1585, 52.0),
    (None, 1725, 80.0),
    ("male", 1905, 96.0),
    ("female", 1710, 84.5),
)
LEGS = {"diameter_mm": (22.2, 25.4, 31.8), "angle_deg": (0.0, 8.0, 15.0), "depth_mm": (20.0, 28.0, 32.0)}


def picked(rng, values):
    return values[int(rng.integers(len(values)))]


def sitter(rng, number):
    sex, stature, mass = picked(rng, OTHERS)
    body = {"stature_mm": stature, "mass_kg": round(mass * float(rng.uniform(0.93, 1.07)), 1)}
    if sex is not None:
        body["sex"] = sex
    if rng.random() < 0.35:
        body |= {"hip_breadth_sitting_mm": round(330 + 0.55 * mass + float(rng.normal(0, 8)))}
    if rng.random() < 0.25:
        body |= {"sit_bone_spacing_mm": float(rng.integers(105, 140))}
    if rng.random() < 0.5:
        body["habit"] = {"splay_deg": float(rng.integers(2, 17)), "forward_mm": float(rng.integers(-5, 25))}
    return {"name": f"sitter {number}", "body": body, "weight": float(picked(rng, (0.5, 1.0, 1.0, 2.0)))}


def joints(rng, depth_mm):
    kind = picked(rng, ("none", "none", "legs", "legs", "legs and spindles", "zone"))
    out = []
    if "legs" in kind:
        size = {name: picked(rng, values) for name, values in LEGS.items()}
        for y in (float(rng.integers(55, 90)), depth_mm - float(rng.integers(60, 110))):
            out.append({"kind": "leg mortise", "x_mm": float(rng.integers(135, 185)), "y_mm": y, **size})
    if "spindles" in kind:
        for x in (45.0, 110.0, 160.0):
            out.append({"kind": "spindle", "x_mm": x, "y_mm": 25.0, "diameter_mm": 16.0, "depth_mm": 25.0})
    if kind == "zone":
        corners = [[60.0, 300.0], [130.0, 310.0], [120.0, 350.0], [70.0, 345.0]]
        out.append({"kind": "polygon", "points_mm": corners, "keep_mm": float(rng.integers(24, 36))})
    return out


def table(seed):
    """An order as a maker might write one: whole millimetres, usual sizes, wishes left out as often as not."""
    rng = np.random.default_rng([19840607, seed])
    depth, thickness = float(picked(rng, (395, 406, 420, 445))), float(picked(rng, (38, 41, 45, 50)))
    blank = {
        "width_mm": float(picked(rng, (455, 470, 483, 510, 535))),
        "depth_mm": depth,
        "thickness_mm": thickness,
        "floor_mm": float(picked(rng, (18, 19, 20))),
        "outline": picked(rng, sorted(OUTLINES)),
        "deck_mm": float(picked(rng, (0, 30, 45, 60))),
    }
    if rng.random() < 0.4:
        blank |= {
            "under_bevel_width_mm": float(picked(rng, (20, 35, 50))),
            "under_bevel_height_mm": float(picked(rng, (8, 12, 16))),
        }
    line = picked(rng, ("straight", "straight", "bowed", "offset"))
    if line != "straight":
        blank["deck_line"] = line
    if line == "bowed":
        blank["deck_bow_mm"] = float(picked(rng, (-20, 20, 45)))
    if rng.random() < 0.25:
        blank["gutter_depth_mm"] = float(picked(rng, (2, 4)))
    wishes = {"depth_mm": float(picked(rng, (8, 12, 16, 18, 21)))}
    for name, values in (
        ("closeness", (0.0, 0.4, 1.0)),
        ("pommel_mm", (0.0, 4.0, 8.0)),
        ("deepest_y_mm", (120.0, 135.0, 150.0)),
        ("front_roll_mm", (0.0, 12.0, 25.0)),
        ("front_roll_length_mm", (70.0, 100.0)),
        ("tailbone_relief_mm", (0.0, 4.0, 8.0)),
        ("rear_rise_mm", (3.0, 8.0)),
        ("thigh_splay_deg", (4.0, 12.0)),
    ):
        if rng.random() < 0.35:
            wishes[name] = picked(rng, values)
    count = int(picked(rng, (1, 1, 1, 2, 2, 3, 4)))
    sitters = [sitter(rng, number) for number in range(count)]
    return {
        "title": f"order {seed}",
        "sitter": sitters,
        "blank": blank,
        "chair": {"rake_deg": float(picked(rng, (0, 2, 4)))},
        "wishes": wishes,
        "joint": joints(rng, depth),
    }


def heavier(table):
    out = deepcopy(table)
    for one in out["sitter"]:
        one["body"]["mass_kg"] *= HEAVIER
    return out


def sampled(seat):
    """Depths every millimetre, what lies beyond the outline left out; both halves are alike."""
    x, y = np.arange(0.0, 0.5 * seat.blank.width_mm, 1.0), np.arange(0.0, seat.blank.depth_mm, 1.0)
    depth = seat.depth_mm(x[None, :], y[:, None])
    return np.where(seat.blank.inside_mm(x[None, :], y[:, None]) >= 0.0, depth, 0.0)


def made():
    """Yield seeds with the seats of an order and of the same with heavier sitters; what is refused is passed over."""
    seed = count = 0
    while count < ORDERS:
        seed += 1
        try:
            orders = [order_from_table(one, "order", "seat") for one in (table(seed), heavier(table(seed)))]
            seats = [shape_seat(one) for one in orders]
        except (InputError, NotSolvedError):
            continue
        count += 1
        yield seed, seats


def test_a_little_more_mass_moves_no_seat():
    moved, stopped, wavy = {}, {}, 0
    for seed, (seat, other) in made():
        moved[seed] = float(np.abs(sampled(seat) - sampled(other)).max())
        for one in (seat, other):
            if not one.ending.converged:
                stopped[seed] = one.ending.words
        wavy += undulations(seat) > 0
        sys.stdout.write(
            f"{seed:4} moved {moved[seed]:.4f} mm, undulations {undulations(seat)}, {seat.ending.words}\n"
        )
    settled = [mm for seed, mm in moved.items() if seed not in stopped]
    sys.stdout.write(
        f"\n{len(moved)} seats moved by {np.median(settled):.3f} mm (median), {max(settled):.3f} mm at the most; "
        f"{len(stopped)} stopped: {stopped}; {wavy} not without undulations\n"
    )
    assert max(moved.values()) < MOST_MM
    # Measured: just under 0.06.
    assert np.quantile(list(moved.values()), 0.95) < 0.065
    assert len(stopped) <= 0.1 * ORDERS
