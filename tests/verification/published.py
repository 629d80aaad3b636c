"""Our values on a flat, hard seat beside published ones: `python tests/verification/published.py` prints the table.

Ids are those of the table of check values. Studies that state no stature get the survey's for sex and mass.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass

from seatmesh import Sitting, estimate_body, flat_seat, sit


@dataclass(frozen=True)
class Row:
    """One published quantity: its band, our value, and whether ours is inside."""

    check: str
    quantity: str
    who: str
    low: float
    high: float
    ours: float
    source: str

    @property
    def inside(self) -> bool:
        return self.low <= self.ours <= self.high


MAN_69 = ("male", 1740.0, 69.1)
WOMAN_57 = ("female", 1610.0, 57.1)
MAN_75 = ("male", 1756.0, 75.0)
SOURCE_S3 = "J Phys Ther Sci 2017;29:57-63"
SOURCE_S2 = "Swearingen, Wheelwright, Garner 1962, FAA AM-62/1"


def flat(who: tuple[str, float, float], load_n: float | None = None) -> Sitting:
    """Sit a body, estimated from sex, stature and mass, on the flat seat."""
    return sit(estimate_body(*who), flat_seat(), load_n=load_n)


def rows() -> list[Row]:
    """Return the table."""
    man, woman, pressed = flat(MAN_69).figures, flat(WOMAN_57).figures, flat(MAN_75, 734.0).figures
    area, hottest, left = "area_above_0_67_kpa_cm2", "hottest_8_percent_share", "tissue_left_ratio"
    table = []
    for check, who, seen, area_band, mean_band in (
        ("S3", "man 69.1 kg", man, (667.0, 993.0), (5.8, 9.2)),
        ("S4", "woman 57.1 kg", woman, (678.0, 948.0), (4.9, 8.1)),
    ):
        table += [
            Row(check, "area above 0.67 kPa, cm2", who, *area_band, seen[area], SOURCE_S3),
            Row(check, "mean, kPa", who, *mean_band, seen["mean_kpa"], SOURCE_S3),
            Row(
                "S7",
                "peak over 1 cm2, kPa",
                who,
                20.0,
                100.0,
                seen["peak_kpa"],
                "several studies, from memory",
            ),
        ]
    return [
        *table,
        Row("S2", "load on hottest 8 %", "man 75 kg, 734 N", 0.30, 0.50, pressed[hottest], SOURCE_S2),
        Row(
            "B6",
            "tissue left over free",
            "man 75 kg, 734 N",
            0.35,
            0.65,
            pressed[left],
            "bands of several studies",
        ),
        Row(
            "S7",
            "peak over 1 cm2, kPa",
            "man 75 kg, 734 N",
            20.0,
            100.0,
            pressed["peak_kpa"],
            "several, from memory",
        ),
    ]


def printed(table: list[Row]) -> str:
    """Return the table as text."""
    lines = [f"{'id':4} {'quantity':26} {'who':18} {'published':>16} {'ours':>8}  inside  source"]
    for row in table:
        band = f"{row.low:g} to {row.high:g}"
        word = "yes" if row.inside else "NO"
        lines.append(
            f"{row.check:4} {row.quantity:26} {row.who:18} {band:>16} {row.ours:8.3g}  {word:6}  {row.source}"
        )
    return "\n".join(lines)


if __name__ == "__main__":
    sys.stdout.write(printed(rows()) + "\n")
