"""The report on a seat's floor in words: what it stands on, where it is weakest, and how thin it may look safe."""

from __future__ import annotations

from typing import Any

from seatmesh.units import format_length, format_no_less, format_no_more, format_size, in_unit, wrapped

PRACTICE_MM = 19.0
"""Makers leave at least so much under the hollow (common practice, no source)."""
NEWTONS_PER_POUND = 4.4482216152605
"""A pound of force: 0.45359237 kg at 9.80665 m/s2, by definition."""
INDENT = 15


def floor_lines(floor: dict[str, Any], units: str, width: int) -> list[str]:
    """Return the floor's lines."""
    if floor["least_factor"] is None:
        return items([floor["note"], floor["guide"]], width)

    def said(words: str) -> str:
        return in_unit(words, units)

    legs = "of the order" if floor["legs_given"] else "(the order has too few to stand on: usual places)"
    rows = [
        ("Load", f"{_force(floor['load_n'], units)}: {said(floor['load_source'])}"),
        ("Stands on", f"{len(floor['legs'])} legs {legs}, {said(floor['leg_words'])}"),
        (
            "Floor",
            f"{format_no_more(floor['floor_mm'], units)} at its thinnest; sinks "
            f"{format_size(floor['deflection_mm'], units, 2)}",
        ),
        ("Least factor", f"{floor['least_factor']:.1f}, strength over stress: {floor['where']}"),
    ]
    out = [line for name, words in rows for line in titled(name, words, width)]
    for case in floor["cases"]:
        out.append(f"Load at {case['load_at']}")
        for weak in case["weakest"]:
            out += wrapped(_weak(weak), width, first="  ", then="    ")
    out += titled("Thinnest", _thinnest(floor, units), width)
    return out + items([*_too_thin(floor, units), floor["guide"], *_ratios(floor)], width)


def titled(name: str, words: str, width: int) -> list[str]:
    """Return words after their name, in lines of at most a width that begin below one another."""
    return wrapped(words, width, first=f"{name:<{INDENT}}", then=" " * INDENT)


def items(texts: list[str], width: int) -> list[str]:
    """Return texts as items of a list, in lines of at most a width."""
    return [line for text in texts for line in wrapped(text, width, first="- ", then="  ")]


def _force(newtons: float, units: str) -> str:
    return f"{newtons:.0f} N" + (f" ({newtons / NEWTONS_PER_POUND:.0f} lb)" if units == "in" else "")


def _weak(weak: dict[str, Any]) -> str:
    if weak["factor"] is None:
        return f"{weak['way']}: no pull"
    stress = f"{weak['stress_mpa']:.2f} MPa"
    return f"{weak['way']}: factor {weak['factor']:.1f}, {stress}, {weak['face']}, {weak['where']}"


def _thinnest(floor: dict[str, Any], units: str) -> str:
    wanted = f"factor {floor['wanted_factor']:g}"
    found = floor["thinnest_floor_mm"]
    if found is None:
        most = format_length(max(one["floor_mm"] for one in floor["tried"]), units)
        return (
            f"no floor that was tried reaches {wanted}: up to {most} was tried; use a stronger wood, other glue lines "
            "or closer legs"
        )
    return (
        f"{format_no_less(found, units)} of floor would still reach {wanted} ({floor['thinnest_factor']:.2f}), hollow "
        "unchanged"
    )


def _too_thin(floor: dict[str, Any], units: str) -> list[str]:
    """Warn of a floor that the guide calls safe-looking and that no maker leaves."""
    found = floor["thinnest_floor_mm"]
    if found is None or found >= PRACTICE_MM:
        return []
    least = format_length(PRACTICE_MM, units)
    return [
        f"Common practice leaves at least {least} under the hollow, and more round a mortise. Do not go below that on "
        "the strength of this figure: racking, blows and wedges at the legs are no part of it."
    ]


def _ratios(floor: dict[str, Any]) -> list[str]:
    return [
        f"Stiffness of {name} across the grain and in shear: {source}."
        for name, source in floor["elastic_ratios"].items()
    ]
