"""Jobs that are refused, each in another way, by what they are about and the step where that is."""

from __future__ import annotations

from typing import Any

from .jobs import ONE

LEG = {"kind": "leg mortise", "x_mm": 165, "y_mm": 370, "diameter_mm": 25, "angle_deg": 12, "side": "both"}
REMARK = {
    "action": "deepen",
    "x_mm": 600,
    "y_mm": 150,
    "radius_mm": 40,
    "amount_mm": 1.5,
    "side": "both",
}


def _blank(**keys: Any) -> tuple[str, dict[str, Any]]:
    return "wood", {**ONE, "blank": keys}


def _wishes(wishes: dict[str, Any], **blank: Any) -> tuple[str, dict[str, Any]]:
    return "wishes", {**ONE, "wishes": wishes, "blank": blank}


def _others(**tables: Any) -> tuple[str, dict[str, Any]]:
    return "wood", {**ONE, "others": tables}


def _measured(**measures: Any) -> tuple[str, dict[str, Any]]:
    return "sitters", {**ONE, "sitters": [{**ONE["sitters"][0], "measures": measures}]}


REFUSED: dict[str, tuple[str, dict[str, Any]]] = {
    "floor and hollow in thin wood": _blank(floor_mm=41),
    "too thin": _blank(thickness_mm=12),
    "centimetres for millimetres": _blank(width_mm=48),
    "corner": _blank(corner_radius_mm=290),
    "deep deck": _blank(deck_mm=199, depth_mm=380),
    "far bow": _blank(deck_bow_mm=140, deck_mm=190),
    "bow of a straight line": _blank(deck_bow_mm=20, deck_line="straight"),
    "reach of a straight line": _blank(deck_reach_mm=100),
    "deck along the outline": _blank(deck_line="offset", deck_mm=150),
    "half a bevel": _blank(under_bevel_width_mm=20),
    "no edge left": _blank(round_over_mm=43),
    "bevel under the roll": _blank(under_bevel_width_mm=20, under_bevel_height_mm=20),
    "glue line beside the blank": _blank(glue_lines_mm=[300]),
    "boards and glue lines": _blank(glue_lines_mm=[0], boards=4),
    "dowel without a size": _blank(glue_joint="dowel", boards=2),
    "dowel out of the wood": _blank(
        glue_joint="dowel", boards=2, glue_joint_depth_mm=44, glue_joint_thickness_mm=8
    ),
    "deep gutter": _blank(gutter_depth_mm=10, gutter_width_mm=8),
    "nothing to join": _blank(outline_between="a curve"),
    "narrower than the sitter": _blank(width_mm=300),
    "outline that crosses itself": _blank(
        outline_points_mm=[[0, 0], [200, 400], [200, 0], [0, 400]], outline_between="straight lines"
    ),
    "not a length": _blank(width_mm="4 80"),
    "pommel out of the hollow": _wishes({"depth_mm": 10, "pommel_mm": 20}),
    "long fade": _wishes({"pommel_fade_mm": 200}),
    "pommel on the deck": _wishes({"pommel_length_mm": 390}),
    "deepest far forward": _wishes({"deepest_y_mm": 300}),
    "deepest on the deck": _wishes({"deepest_y_mm": 30}),
    "no hollow within the rim": _wishes({"rim_mm": 119}, width_mm=420),
    "roll through the wood": _wishes({"front_roll_mm": 80, "depth_mm": 10}, thickness_mm=30),
    "short roll": _wishes({"front_roll_length_mm": 5}),
    "long roll": _wishes({"front_roll_length_mm": 260}),
    "stage that is the seat": ("wishes", {**ONE, "others": {"stages": [0.99]}}),
    "leg beside the blank": _others(joint=[{**LEG, "x_mm": 400}]),
    "more wood than there is": _others(joint=[{**LEG, "keep_mm": 100, "depth_mm": 20}]),
    "leg in the hollow": _others(joint=[{**LEG, "x_mm": 60, "y_mm": 150, "depth_mm": 30}]),
    "leg that lies": _others(joint=[{**LEG, "angle_deg": 60}]),
    "bar without a size": _others(joint=[{"kind": "bar", "x_mm": 0, "y_mm": 200}]),
    "boards too narrow": _others(board=[{"width_mm": 200}, {"width_mm": 100}]),
    "no room for a board": _others(board=[{"width_mm": 470}, {}]),
    "rings and angle": _others(board=[{"rings": "flat", "ring_angle_deg": 80}]),
    "pith in the board": _others(board=[{"pith_mm": 5}]),
    "unknown wood": _others(board=[{"species": "wallnut"}]),
    "two sizes of a tool": _others(tool=[{"radius_mm": 50, "diameter_mm": 100}]),
    "tool without a size": _others(tool=[{"kind": "disc"}]),
    "air and moisture": _others(wood={"shop_c": 20, "shop_moisture_percent": 8}),
    "steep rake": ("wood", {**ONE, "chair": {"rake_deg": 30}}),
    "stature in centimetres": _measured(stature_mm=164, mass_kg=61),
    "far habit": ("sitters", {**ONE, "sitters": [{**ONE["sitters"][0], "habit": {"forward_mm": 400}}]}),
    "mark off the blank": (
        "bench/marks",
        {**ONE, "marks": [{"name": "sit bone", "side": "left", "x_mm": -400, "y_mm": 150}]},
    ),
    "remark off the blank": ("bench/remarks", {**ONE, "adjustments": [REMARK]}),
}
