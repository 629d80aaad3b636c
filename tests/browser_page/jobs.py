"""Jobs as the page keeps them in the browser: one sitter, the four players, and one at the bench."""

from __future__ import annotations

from typing import Any


def sitter(name: str, sex: str, **measures: float) -> dict[str, Any]:
    return {"name": name, "sex": sex, "measures": measures, "habit": {}, "weight": 1}


ONE = {
    "title": "Reading chair",
    "sitters": [sitter("Nan", "female", stature_mm=1640, mass_kg=61, hip_breadth_sitting_mm=378)],
    "wishes": {"depth_mm": 14},
}
FOUR = {
    "title": "Practice room",
    "sitters": [
        sitter("violin 1", "female", stature_mm=1545, mass_kg=49, hip_breadth_sitting_mm=339),
        sitter("violin 2", "male", stature_mm=1830, mass_kg=82),
        sitter("viola", "male", stature_mm=1760, mass_kg=112),
        sitter("cello", "female", stature_mm=1660, mass_kg=64, hip_breadth_sitting_mm=395),
    ],
    "blank": {"depth_mm": 400},
    "wishes": {"depth_mm": 16},
}
BENCH = {
    **ONE,
    "marks": [
        {"name": "sit bone", "side": "left", "x_mm": -56, "y_mm": 150},
        {"name": "sit bone", "side": "right", "x_mm": 58, "y_mm": 149},
        {"name": "hip end", "side": "right", "x_mm": 186, "y_mm": 165},
    ],
    "adjustments": [
        {
            "date": "2026-05-31",
            "action": "deepen",
            "x_mm": 60,
            "y_mm": 150,
            "radius_mm": 40,
            "amount_mm": 1.5,
            "side": "both",
            "tag": "comfort",
            "why": "hard there after an hour",
        }
    ],
}


def in_units(job: dict[str, Any], units: str) -> dict[str, Any]:
    return {**job, "units": units}
