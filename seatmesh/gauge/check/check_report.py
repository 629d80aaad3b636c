"""A gauge check as plain values, for JSON, and in words, for the bench."""

from __future__ import annotations

from textwrap import fill
from typing import Any

from seatmesh.cautions import GAUGING
from seatmesh.gauge.bar.bar_report import bar_report, bar_words
from seatmesh.gauge.bar.gauge_sheet import WIDTH
from seatmesh.gauge.check.check_readings import GaugeCheck
from seatmesh.gauge.check.fair.ripples import Ripple
from seatmesh.gauge.check.further.further_readings import TO_TELL_THE_BAR
from seatmesh.gauge.check.further.next_cuts import Cut
from seatmesh.gauge.check.left_right import LeftRight
from seatmesh.gauge.check.verdict import DONE, MISREAD, QUESTIONED, TAKE, TOO_DEEP
from seatmesh.place_words import ahead, roughly
from seatmesh.units import format_area, format_length, format_volume, wrapped

STATES = {
    TAKE: "wood still to take",
    DONE: "done",
    TOO_DEEP: "too deep",
    QUESTIONED: "questioned: read again",
    MISREAD: "misread: left out",
}
ALONG_DEG = 22.5
FEW_PAIRS = 3
"""With fewer mirrored pairs nothing is said of left and right being even."""
WORST, NAMED = 6, 12


def gauge_report(check: GaugeCheck, units: str | None = None) -> dict[str, Any]:
    """Return what `gauge check` reports, as values that JSON knows; `units` ("mm" or "in") only matter for words.

    A point that was read twice has two entries. `to_take_mm` is what the rod says, by how the bar sat, `as_read_mm` the
    same with the bar as stated, `fair_to_take_mm` what all readings together say, with its standard error; `state` goes
    by that, and `why` says what to do about a questioned one. `left_minus_right_mm` is depth on the left less depth on
    the right, over the patch where it stands out most: positive where the left is the deeper; null without any pair.

    Examples
    --------
    >>> from seatmesh import Adjustment, Gauge, Row, Seat, check_readings, gauge_report, gauge_sheet
    >>> seat = Seat(adjustments=(Adjustment(0.0, 200.0, 120.0, 10.0),))
    >>> sheet = gauge_sheet(seat, 40.0, Gauge(bar_height_mm=60.0))
    >>> rows = [
    ...     Row(n, one.point, one.x_mm, one.y_mm, one.expected_mm, one.expected_mm, one.datum_mm)
    ...     for n, one in enumerate(sheet.crossings, 2)
    ... ]
    >>> report = gauge_report(check_readings(seat, rows))
    >>> report["finished"], report["next_cuts"]
    (True, [])
    """
    units = check.seat.units if units is None else units
    r = check.readings
    points = [
        {
            "point": int(r.point[k]),
            "x_mm": _mm(r.x_mm[k]),
            "y_mm": _mm(r.y_mm[k]),
            "to_take_mm": _mm(r.to_take_mm[k]),
            "as_read_mm": _mm(r.target_mm[k] - r.as_read_mm[k]),
            "fair_to_take_mm": _mm(check.fair_to_take_mm[k]),
            "error_mm": _mm(check.error_mm[k]),
            "bar_error_mm": _mm(r.bar_error_mm[k]),
            "state": state,
            "why": check.why[k],
            "confirmed": bool(check.confirmed[k]),
            "row": _mm(r.bars.placings.at_mm[r.bars.placings.of[k]]),
            "line": int(r.line[k]),
            "file": r.file[k],
        }
        for k, state in enumerate(check.state)
        if state and not r.echo[k]
    ]
    read = {one["point"] for one in points}
    even = check.left_right
    return {
        "seat": check.seat.title,
        "tolerance_mm": check.tolerance_mm,
        "points": points,
        "not_read": sorted({int(point) for point in r.point} - read),
        "counts": {name: sum(one["state"] == name for one in points) for name in STATES},
        "bar": bar_report(r.bars, r.read & ~r.echo),
        "bar_words": bar_words(r.bars, units),
        "unseen": _unseen(check, units),
        "scatter_mm": round(check.scatter_mm, 3),
        "left_minus_right_mm": None if even.left_minus_right_mm is None else _mm(even.left_minus_right_mm),
        "left_right": _left_right(even, units),
        "ripples": [_ripple(one, units) for one in check.ripples],
        "next_cuts": [_cut(k, one, units) for k, one in enumerate(check.cuts, start=1)],
        "further_readings": [
            {
                "point": one.point,
                "x_mm": _mm(one.x_mm),
                "y_mm": _mm(one.y_mm),
                "why": one.why,
                "placing": one.placing,
                "place": roughly(one.x_mm, one.y_mm, units),
            }
            for one in check.further
        ],
        "read_share": round(check.seen, 3),
        "finished": check.finished,
        "not_finished_because": list(check.unfinished),
        "notes": list(r.notes),
    }


def gauge_text(report: dict[str, Any], units: str) -> str:
    """Return a report in words; lengths in `units`."""
    counts = report["counts"]
    head = [
        f"{report['seat']}: {'FINISHED' if report['finished'] else 'NOT FINISHED'}"
        f" within {format_length(report['tolerance_mm'], units, decimals=2)}"
        + (", where it was read" if report["finished"] and report["read_share"] < 0.995 else ""),
        ", ".join(f"{counts[name]} {words}" for name, words in STATES.items() if counts[name])
        + f"; scatter of the readings {format_length(report['scatter_mm'], units, step=128, decimals=2)}",
    ]
    head += [f"  because {words}" for words in report["not_finished_because"]]
    parts = ["\n".join(head)]
    if report["bar_words"]:
        parts.append("The bar:\n" + "\n".join(f"  {words}" for words in report["bar_words"]))
    if report["next_cuts"]:
        parts.append("Cut next, in this order, then gauge again:\n" + _numbered(report["next_cuts"]))
    if high := [one for one in report["points"] if one["state"] == TAKE]:
        parts.append(_still_high(high, units))
    if deep := [one for one in report["points"] if one["state"] == TOO_DEEP]:
        lines = [
            f"  point {one['point']}, {roughly(one['x_mm'], one['y_mm'], units)}: "
            f"{format_length(-one['fair_to_take_mm'], units)} too deep"
            for one in sorted(deep, key=lambda one: one["fair_to_take_mm"])[:WORST]
        ]
        parts.append("Too deep; `seatmesh gauge save` finds the nearest fair seat:\n" + "\n".join(lines))
    parts.append(report["left_right"]["words"])
    if report["ripples"]:
        parts.append("Ripples that a hand would feel:\n" + _numbered(report["ripples"]))
    parts += _to_read(report)
    parts.append(report["unseen"])
    if not report["finished"]:
        parts.append(fill(GAUGING, WIDTH))
    return "\n\n".join(parts)


def _still_high(points: list[dict[str, Any]], units: str) -> str:
    """Return what is to take at each crossing that is still too high, once each."""
    amount = {
        one["point"]: f"{one['point']}: {format_length(one['fair_to_take_mm'], units)}" for one in points
    }
    words = f"To take at each point that is still too high: {', '.join(amount[point] for point in sorted(amount))}."
    return "\n".join(wrapped(words, WIDTH))


def _to_read(report: dict[str, Any]) -> list[str]:
    """Return what is questioned, and what to read about it."""
    parts = []
    if doubted := [one for one in report["points"] if one["state"] == QUESTIONED]:
        reasons: dict[str, list[str]] = {}
        for one in doubted:
            reasons.setdefault(one["why"], []).append(str(one["point"]))
        lines = [f"  {_points(numbers)}: {why}" for why, numbers in reasons.items()]
        parts.append("Questioned, and nothing is cut there until it is known:\n" + "\n".join(lines))
    if further := report["further_readings"]:
        lines = []
        for placing in sorted({one["placing"] for one in further}):
            here = [one for one in further if one["placing"] == placing]
            datum = [_point(one) for one in here if one["why"] == TO_TELL_THE_BAR]
            uncut = f"; on uncut wood, to tell how it sits: {', '.join(datum)}" if datum else ""
            lines.append(f"  placing {placing}: set the bar down anew and read{uncut}")
            lines += [
                f"    {_point(one, True)} ({one['why']})" for one in here if one["why"] != TO_TELL_THE_BAR
            ]
        parts.append(
            "Readings that would decide (--further FILE.csv writes them as rows to fill in):\n"
            + "\n".join(lines)
        )
    return parts


def _point(one: dict[str, Any], with_place: bool = False) -> str:
    if not one["point"]:
        return str(one["place"])
    return f"point {one['point']}, {one['place']}" if with_place else f"point {one['point']}"


def _points(numbers: list[str]) -> str:
    some = list(dict.fromkeys(numbers))
    more = f" and {len(some) - NAMED} more" if len(some) > NAMED else ""
    return f"point{'s' if len(some) > 1 else ''} {', '.join(some[:NAMED])}{more}"


def _unseen(check: GaugeCheck, units: str) -> str:
    """Say what the grid cannot see: a hole that fits between crossings."""
    width = format_length(check.gap_mm, units, step=4, decimals=0)
    words = (
        f"A hole narrower than {width} can lie unseen between crossings: feel for it by hand, and for wood that is "
        "left along the rim and beyond the last row."
    )
    if check.unread_mm is not None:
        words += (
            f" {1.0 - check.seen:.1%} of the hollow has no reading nearby, the deepest part of it "
            f"{roughly(*check.unread_mm, units)}: wood may be left there, or too deep. Feel it, or lay the bar the "
            "other way or on packing pieces to read it."
        )
    return words


def _numbered(items: list[dict[str, Any]]) -> str:
    return "\n".join(f"  {k}. {one['words']}" for k, one in enumerate(items, start=1))


def _left_right(even: LeftRight, units: str) -> dict[str, Any]:
    if even.left_minus_right_mm is None:
        words = "Left and right: no mirrored pair was read."
        return {"differs": False, "pairs": 0, "words": words, "differences": []}
    amount = format_length(abs(even.left_minus_right_mm), units, step=64)
    if even.differs:
        side = "left" if even.left_minus_right_mm > 0 else "right"
        other = "right" if side == "left" else "left"
        words = (
            f"The sitter's {side} is {amount} deeper than the {other} (the {other} stands proud) over a patch "
            f"{format_length(2 * even.radius_mm, units, step=16, decimals=0)} wide, "
            f"{format_length(even.from_centre_mm, units, step=16, decimals=0)} from the centre line, "
            f"{ahead(even.y_mm, units, decimals=0, step=16)}."
        )
    elif even.pairs < FEW_PAIRS:
        pairs = "1 pair is" if even.pairs == 1 else f"{even.pairs} pairs are"
        words = f"Left and right: only {pairs} read on both sides, too few to say whether they are even."
    else:
        words = f"Left and right are even: no difference beyond chance over {even.pairs} pairs."
    return {
        "differs": even.differs,
        "pairs": even.pairs,
        "from_centre_mm": _mm(even.from_centre_mm),
        "y_mm": _mm(even.y_mm),
        "patch_mm": _mm(2.0 * even.radius_mm),
        "standing_out": round(even.ratio, 2),
        "chance_limit": round(even.limit, 2),
        "words": words,
        "differences": [
            {"left_point": int(p), "left_minus_right_mm": _mm(d)}
            for p, d in zip(even.point, even.difference_mm, strict=True)
        ],
    }


def _ripple(one: Ripple, units: str) -> dict[str, Any]:
    turn = one.direction_deg % 180.0
    if min(turn, 180.0 - turn) < ALONG_DEG:
        way = "crests run front to rear"
    elif abs(turn - 90.0) < ALONG_DEG:
        way = "crests run across"
    else:
        way = "crests run diagonally"
    words = (
        f"{format_length(one.crest_to_trough_mm, units, step=64)} crest to trough, about "
        f"{format_length(one.length_mm, units, step=4, decimals=0)} long, {way}; its middle: "
        f"{roughly(one.x_mm, one.y_mm, units)}"
    )
    return {
        "x_mm": _mm(one.x_mm),
        "y_mm": _mm(one.y_mm),
        "length_mm": _mm(one.length_mm),
        "direction_deg": round(one.direction_deg, 1),
        "crest_to_trough_mm": _mm(one.crest_to_trough_mm),
        "patch_mm": [_mm(one.along_mm), _mm(one.across_mm)],
        "standing_out": round(one.ratio, 2),
        "chance_limit": round(one.limit, 2),
        "words": words,
    }


def _cut(order: int, one: Cut, units: str) -> dict[str, Any]:
    words = (
        f"{roughly(one.x_mm, one.y_mm, units)}: take {format_length(one.amount_mm, units)} at most, "
        f"{format_length(one.mean_mm, units)} on average, over {format_area(one.area_cm2, units)} "
        f"({format_volume(one.volume_cm3, units)})"
    )
    return {
        "order": order,
        "x_mm": _mm(one.x_mm),
        "y_mm": _mm(one.y_mm),
        "amount_mm": _mm(one.amount_mm),
        "mean_mm": _mm(one.mean_mm),
        "area_cm2": round(one.area_cm2, 1),
        "volume_cm3": round(one.volume_cm3, 2),
        "words": words,
    }


def _mm(value: float) -> float:
    # Adding 0.0 makes a negative zero plain.
    return round(float(value), 3) + 0.0
