"""Hot spots with the adjustment advised against each: in the words and with the figures of `seatmesh adjust`."""

from __future__ import annotations

import shlex
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from seatmesh.adjustment import Adjustment
from seatmesh.body.body import Body
from seatmesh.design.log.fitting_log import Entry, asked_of, effects
from seatmesh.design.log.log_report import action_words, peak_words
from seatmesh.design.report.plain import SOME_ORDER, rounded
from seatmesh.design.shape import Design
from seatmesh.errors import NotSolvedError
from seatmesh.place_words import Side, place
from seatmesh.seating.hot_spots.in_words import HotSpot, find_hot_spots
from seatmesh.seating.sitter import Sitter, lay_over
from seatmesh.seating.sitting import Sitting
from seatmesh.surface import Seat
from seatmesh.units import format_area, format_length, wrapped

CARVED_MM = 0.05
"""A place less deep than this is uncarved: there wood is eased away, elsewhere the hollow is deepened."""
WIDTH = 96


def spots_report(
    sitter: Sitter, seat: Seat, sitting: Sitting, sharing: Sequence[Body] = ()
) -> list[dict[str, Any]]:
    """Return the hot spots of a sitting under the keys of the project's reference.

    `advice_peak_kpa` is what `seatmesh adjust` will say of this sitter's peak once the advice is made an adjustment:
    upright, under the sitter's own load. `advice_peaks` has all whom that tells of, `sharing` being the sitters of the
    order. `advice_spot_kpa` is the peak left at the spot in the sitting at hand.
    """
    bodies = list(sharing) if sitter.body in sharing else [sitter.body, *sharing]
    sitters = [lay_over(body, seat) for body in bodies]
    own = bodies.index(sitter.body)
    told: dict[Adjustment, dict[str, Any]] = {}
    rows = []
    for spot in find_hot_spots(sitter, seat, sitting):
        row = {name: getattr(spot, name) for name in ("x_mm", "y_mm", "peak_kpa", "area_cm2", "cause")}
        if spot.adjustment is not None and spot.adjustment not in told:
            told[spot.adjustment] = _advice(spot, spot.adjustment, seat, sitters, own)
        advice = NO_ADVICE if spot.adjustment is None else told[spot.adjustment]
        rows.append({**row, **advice, "advice_spot_kpa": spot.lowered_kpa})
    return rows


def with_hot_spots(figures: dict[str, Any], design: Design) -> dict[str, Any]:
    """Return the figures of a design's report with every sitter's hot spots on the finished seat."""
    bodies = [guest.sitter.body for guest in design.guests]
    file, units = design.order.file or SOME_ORDER, design.order.units
    sitters = []
    for sitter, guest, result in zip(figures["sitters"], design.guests, design.results, strict=True):
        spots = spots_report(guest.sitter, design.seat, result.best, bodies)
        sitters.append({**sitter, "hot_spots": rounded(with_lines(spots, units, file))})
    return {**figures, "sitters": sitters}


def with_lines(spots: Sequence[dict[str, Any]], units: str, order_file: str | None) -> list[dict[str, Any]]:
    """Return hot spots whose advice has its command, under `adjust_line`; None without an order to adjust."""
    return [
        {
            **one,
            "adjust_line": adjust_line(one["adjust"], units, order_file)
            if order_file and one["adjust"]
            else None,
        }
        for one in spots
    ]


NO_ADVICE: dict[str, Any] = {
    "advice": None,
    "advice_peak_kpa": None,
    "advice_peaks": [],
    "adjust": None,
    "withheld": None,
}


def _advice(
    spot: HotSpot, adjustment: Adjustment, seat: Seat, sitters: Sequence[Sitter], own: int
) -> dict[str, Any]:
    carved = float(seat.depth_mm(adjustment.x_mm, adjustment.y_mm)) > CARVED_MM
    why = f"{sitters[own].body.name}: {spot.cause}, {spot.peak_kpa:.1f} kPa"
    # As the order file says it: what is mirrored has no sign.
    across = abs(adjustment.x_mm) if adjustment.side == "both" else adjustment.x_mm
    entry = Entry(replace(adjustment, x_mm=across), "deepen" if carved else "ease", why=why)
    try:
        row = effects(seat, [entry], sitters)[0]
    except NotSolvedError as failure:
        return {**NO_ADVICE, "withheld": f"a cut would help here, but then {failure}"}
    return {
        "advice": action_words(row, seat.units),
        "advice_peak_kpa": row["peaks"][own]["after_kpa"],
        "advice_peaks": row["peaks"],
        "adjust": asked_of(entry),
        "withheld": None,
    }


def adjust_line(asked: dict[str, Any], units: str, order_file: str) -> str:
    """Return the command that makes advice an adjustment of an order, quoted for a shell."""

    def length(key: str) -> str:
        if units != "mm":
            return format_length(asked[key], units)
        short = f"{asked[key]:g}"
        return short if float(short) == asked[key] else repr(float(asked[key]))

    lengths = [
        f"--{key.replace('_', '-')}={length(key)}" for key in ("x_mm", "y_mm", "radius_mm", "amount_mm")
    ]
    words = ["--action", asked["action"], *lengths, "--side", asked["side"], "--why", asked["why"]]
    return shlex.join(["seatmesh", "adjust", order_file, *words])


def spot_lines(
    name: str, rows: Sequence[dict[str, Any]], units: str, order_file: str | None = None, as_sat: str = ""
) -> list[str]:
    """Return hot spots and advice in words; a pair of mirror images is told once.

    `rows` are those of `spots_report`; without an order file there are no commands. `as_sat` is how the sitter sits,
    where that is not upright under the own load, as adjustments are judged.
    """
    if not rows:
        return [f"{name}: no place stands out."]
    lines, told = [f"{name} is pressed hardest at"], list[dict[str, Any]]()
    for row in rows:
        if any(_are_twins(row, other) for other in told):
            continue
        told.append(row)
        side: Side = "both" if any(_are_twins(row, other) for other in rows) else "one"
        lines.append(
            f"  {row['cause']}: {row['peak_kpa']:.0f} kPa over {format_area(row['area_cm2'], units)}, "
            f"{place(row['x_mm'], row['y_mm'], units, side, decimals=0)}"
        )
        if row["adjust"] is not None and any(row["adjust"] == other["adjust"] for other in told[:-1]):
            lines += _indented("the same cut as above is for this place too")
        else:
            lines += _advice_lines(row, units, order_file, as_sat)
    return lines


def _advice_lines(row: dict[str, Any], units: str, order_file: str | None, as_sat: str) -> list[str]:
    if row["withheld"]:
        return _indented(row["withheld"])
    if not row["advice"]:
        return []
    lines = _indented(row["advice"])
    for peak in row["advice_peaks"]:
        lines += _indented(peak_words(peak), 6)
    if as_sat:
        lines += _indented(
            f"that is upright, under the sitter's own load; {as_sat}, {row['advice_spot_kpa']:.1f} kPa stay here",
            6,
        )
    # A command is not wrapped: it is there to be pasted.
    return lines if order_file is None else [*lines, f"      {adjust_line(row['adjust'], units, order_file)}"]


def _indented(words: str, by: int = 4) -> list[str]:
    return wrapped(words, WIDTH, first=" " * by, then=" " * (by + 2))


def _are_twins(row: dict[str, Any], other: dict[str, Any]) -> bool:
    """Tell whether two spots are one another's mirror images, so that both are told in one line."""
    if row["x_mm"] * other["x_mm"] >= 0:
        return False
    apart = abs(row["x_mm"] + other["x_mm"]) + abs(row["y_mm"] - other["y_mm"])
    return bool(apart < 3.0 and abs(row["peak_kpa"] / other["peak_kpa"] - 1.0) < 0.02)
