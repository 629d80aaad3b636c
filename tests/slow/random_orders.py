"""Orders drawn at random: sitters, wood and wishes within what a maker would write."""

import numpy as np

from seatmesh.wood.blank import OUTLINES


def random_order(seed):
    rng = np.random.default_rng(seed)
    sitters = []
    for number in range(rng.integers(1, 4)):
        sex = ["male", "female"][rng.integers(2)]
        stature = float(rng.normal(1756 if sex == "male" else 1630, 65))
        mass = float(np.exp(rng.normal(4.4 if sex == "male" else 4.2, 0.16)))
        body = {"sex": sex, "stature_mm": round(stature), "mass_kg": round(mass, 1)}
        habit = {"splay_deg": float(rng.uniform(0, 16)), "forward_mm": float(rng.uniform(-10, 30))}
        body["habit"] = habit
        sitters.append({"name": f"sitter {number}", "body": body, "weight": float(rng.uniform(0.2, 3))})
    thickness = float(rng.uniform(34, 55))
    floor = float(rng.uniform(18, 24))
    depth = float(rng.uniform(6, min(24, thickness - floor)))
    return {
        "title": f"seat {seed}",
        "sitter": sitters,
        "blank": {
            "width_mm": float(rng.uniform(455, 560)),
            "depth_mm": float(rng.uniform(380, 470)),
            "thickness_mm": thickness,
            "floor_mm": floor,
            "deck_mm": float(rng.uniform(0, 70)),
            "outline": list(OUTLINES)[rng.integers(len(OUTLINES))],
        },
        "chair": {"rake_deg": float(rng.uniform(0, 5))},
        "wishes": {
            "depth_mm": depth,
            "pommel_mm": float(rng.uniform(0, min(15, depth))),
            "front_roll_mm": float(rng.uniform(0, min(30, 2 * (thickness - floor)))),
            "closeness": float(rng.uniform(0, 1)),
        },
    }
