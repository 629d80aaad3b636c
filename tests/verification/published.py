"""Our values beside published ones: `python tests/verification/published.py` prints the table.

Ids are those of the table of check values. Studies that state no stature get the survey's for sex and mass. Peaks are
means over 10 x 10 mm; a study's own sensor area stands in its row where it is known. Beside ours stands what elements
of a whole body say, where they were pressed with the row's body and load (`tests/teacher/published_rows.csv`).

z is how far a value lies from the middle. Where a row gives a group's mean, spread and number, one is the standard
error of that mean, a far narrower thing than the spread of its people, which is the band; elsewhere, with a star, it is
half of the band. A row whose band is not one of the project's promises may miss it; it then says why.
"""

from __future__ import annotations

import csv
import sys
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from seatmesh import Blank, Body, Chair, Seat, Sitting, estimate_body, flat_seat, sit
from seatmesh.body.figure.anatomy import anatomy_of
from seatmesh.design.orders.order import Order, OrderedSitter
from seatmesh.design.shape import shape_seat


@dataclass(frozen=True)
class Row:
    """One published quantity: its band, our value, and whether ours is inside.

    Attributes
    ----------
    promised
        Whether a test holds the row inside its band.
    why
        What explains a miss, or how the comparison was made.
    people
        How many the band's middle is the mean of, where the band is the mean and one standard deviation; else 0.
    elements
        What the elements of a whole body say.
    """

    check: str
    quantity: str
    who: str
    low: float
    high: float
    ours: float
    source: str
    promised: bool = True
    why: str = ""
    people: int = 0
    elements: float | None = None

    def z(self, value: float) -> float:
        """Return how far a value lies from the middle, over the error of a group's mean or half of the band."""
        half = 0.5 * (self.high - self.low)
        return (value - 0.5 * (self.low + self.high)) / (half / np.sqrt(self.people) if self.people else half)

    @property
    def inside(self) -> bool:
        return self.low <= self.ours <= self.high


Who = tuple[str, float, float]
MAN_69: Who = ("male", 1740.0, 69.1)
WOMAN_57: Who = ("female", 1610.0, 57.1)
MAN_75: Who = ("male", 1756.0, 75.0)
OLD_MAN: Who = ("male", 1660.0, 64.0)
OLD_WOMAN: Who = ("female", 1530.0, 57.0)
OLD_AGE = 70.0
PLATFORM = Seat(
    Blank(width_mm=600.0, depth_mm=560.0, deck_mm=0.0, outline="straight-sided"), Chair(rake_deg=0.0)
)
"""A flat board that reaches to the knee-backs, as a platform for legs that hang."""

ELEMENTS = Path(__file__).parents[1] / "teacher" / "published_rows.csv"
FLAT_SEAT, BOARD = "a chair's flat seat", "a board of 480 mm"
S2 = "Swearingen, Wheelwright, Garner 1962, FAA AM-62/1"
S3 = "J Phys Ther Sci 2017;29:57-63"
B4 = "Liu et al. 2023, Front Bioeng 11:1170768"
B5 = "Sonenblum et al. 2020"
S6B = {"rear": (496, 527), "front": (342, 350)}
WORK = "Work 2020;66:161-171"


def body(who: Who) -> Body:
    """Return the body estimated from sex, stature and mass, and of the elderly their age."""
    age = {"age_years": OLD_AGE} if who in (OLD_MAN, OLD_WOMAN) else {}
    return estimate_body("male" if who[0] == "male" else "female", who[1], who[2], **age)


def by_elements(who: str, figure: str, board: str = FLAT_SEAT) -> float | None:
    """Return what the elements say, None where they were not pressed."""
    with ELEMENTS.open(encoding="utf-8") as table:
        for row in csv.DictReader(table):
            if (row["who"], row["board"], row["figure"]) == (who, board, figure):
                return float(row["value"])
    return None


def flat(who: Who, load_n: float | None = None, seat: Seat | None = None) -> Sitting:
    """Sit a body on a flat seat."""
    return sit(body(who), seat or flat_seat(), load_n=load_n)


def flat_rows() -> list[Row]:
    """S3, S4, S5: area and mean of groups."""
    table = []
    elderly = (
        "masses, statures and ages are guessed (the row states none); the survey ends at 58 years, and no figure that "
        "we could read says how thin old muscle and skin are under the sit bones"
    )
    for check, name, who, people, area, mean, promised, why in (
        ("S3", "man 69.1 kg", MAN_69, 49, (830, 163), (7.5, 1.7), True, ""),
        ("S4", "woman 57.1 kg", WOMAN_57, 62, (813, 135), (6.5, 1.6), True, ""),
        ("S5", "old man 64 kg", OLD_MAN, 50, (662, 198), (6.3, 1.7), False, elderly),
        ("S5", "old woman 57 kg", OLD_WOMAN, 50, (728, 182), (6.4, 1.6), False, elderly),
    ):
        # Area times mean is the load that the people of the row sat with.
        seen = flat(who, 0.1 * area[0] * mean[0]).figures
        for quantity, figure, (middle, spread), ours in (
            ("area above 0.67 kPa, cm2", "area_cm2", area, seen.area_above_0_67_kpa_cm2),
            ("mean, kPa", "mean_kpa", mean, seen.mean_kpa),
        ):
            low, high, taught = middle - spread, middle + spread, by_elements(name, figure)
            table.append(Row(check, quantity, name, low, high, ours, S3, promised, why, people, taught))
        taught = by_elements(name, "peak_kpa")
        peak = Row("S7", "peak over 1 cm2, kPa", name, 20, 100, seen.peak_kpa, "several, from memory")
        table.append(replace(peak, elements=taught))
    return table


def pressed_rows() -> list[Row]:
    """S1, S2, B4 to B6, S7: a man pressed with all his weight."""
    sitting = flat(MAN_75, 734.0)
    man, seen = "man 75 kg, 734 N", sitting.figures
    left = float(seen.tissue_left_ratio or np.nan)
    platform = flat(MAN_75, 734.0, PLATFORM).figures
    free = anatomy_of(body(MAN_75)).tissue
    ink = (
        "the row states neither the least pressure counted nor how far the board reached; hanging legs press more of "
        "the thighs, and a board to the knees adds some 110 cm2 here (the elements' board reaches 480 mm, ours 560)"
    )
    board = 734 / platform.contact_area_cm2 * 10
    rows = [
        (Row("S1", "contact area, cm2", man, 1000, 1310, seen.contact_area_cm2, S2, False, ink), "area_cm2", FLAT_SEAT),
        (Row("S1", "contact area on a platform", man, 1000, 1310, platform.contact_area_cm2, S2, False, ink),
         "area_cm2", BOARD),
        (Row("S1", "mean on a platform, kPa", man, 5.6, 7.3, board, S2, False, ink), "mean_kpa", BOARD),
        (Row("S2", "load on hottest 8 %", man, 0.30, 0.50, seen.hottest_8_percent_share, S2),
         "hottest_8_percent_share", FLAT_SEAT),
        (Row("S7", "peak over 1 cm2, kPa", man, 20, 100, seen.peak_kpa, "several, from memory"), "peak_kpa", FLAT_SEAT),
        (Row("B4", "free tissue, mm", man, 35, 45, free, B4, True, "38.8 and 41.0 mm over regions of 20 and 50 mm"),
         "", FLAT_SEAT),
        (Row("B4", "loaded tissue, mm", man, 12, 22, free * left, B4, True, "14.1 and 19.3 mm over 20 and 50 mm"),
         "tissue_left_mm", FLAT_SEAT),
        (Row("B4b", "tissue left over free", man, 0.36, 0.43, left, B4, False, "one man"),
         "tissue_left_share", FLAT_SEAT),
        (Row("B5", "loaded tissue, mm", man, 5.6, 32.1, free * left, B5), "tissue_left_mm", FLAT_SEAT),
        (Row("B6", "tissue left over free", man, 0.35, 0.65, left, "bands of several studies"),
         "tissue_left_share", FLAT_SEAT),
    ]  # fmt: skip
    return [replace(row, elements=by_elements(man, figure, where)) for row, figure, where in rows]


def half_rows() -> list[Row]:
    """S6: the rear and the front half of a seat."""
    sitting = flat(MAN_69)
    rear = sitting.y_mm < 0.5 * sitting.seat.blank.depth_mm
    table = []
    for name, rows, mean, peak in (
        ("rear", rear, (7.1, 8.1), (36, 41)),
        ("front", ~rear, (3.5, 4.9), (6.6, 10.7)),
    ):
        part = sitting.pressure_kpa[rows]
        touched = part[part > 0.67]
        why = "the row states neither body mass nor cushion; its rear peak is half of what hard boards give"
        source = "Li et al. 2018, BioMed Eng OnLine"
        for word, band, ours in (("mean", mean, touched.mean()), ("peak", peak, touched.max())):
            quantity = f"{word} of {name} half, kPa"
            row = Row("S6", quantity, "man 69.1 kg", *band, float(ours), source, False, why)
            taught = by_elements("man 69.1 kg, own load", f"{name}_{word}_kpa")
            table.append(replace(row, elements=taught))
        cell = float(np.diff(sitting.x_mm[:2])[0] * np.diff(sitting.y_mm[:2])[0]) / 100.0
        area = cell * float(np.asarray(sitting.wood)[rows][part > 0.67].sum())
        row = Row("S6b", f"area of {name} half, cm2", "man 69.1 kg", *S6B[name], area, source, False, why)
        table.append(replace(row, elements=by_elements("man 69.1 kg, own load", f"{name}_area_cm2")))
    return table


def direction_rows() -> list[Row]:
    """S9 to S12 and L4: correlation, direction, feet, change of load."""
    rng = np.random.default_rng(9)
    means, indices = [], []
    for _ in range(63):
        sex = "male" if rng.integers(2) else "female"
        stature = float(rng.normal(1750 if sex == "male" else 1620, 65))
        index = float(np.clip(rng.normal(24.5, 3.8), 18, 38))
        means.append(flat((sex, stature, index * (stature / 1000) ** 2)).figures.mean_kpa)
        indices.append(index)
    who = body(MAN_69)
    seat = shape_seat(Order("carved", (OrderedSitter(who),)))
    plain, carved = flat(MAN_69).figures, sit(who, seat).figures
    area = carved.area_above_0_67_kpa_cm2 / plain.area_above_0_67_kpa_cm2
    weight = 69.1 * 9.80665
    slouch = sit(who, flat_seat(), posture="slouched").figures.load_n / plain.load_n - 1
    return [
        Row("S9", "r of mean pressure and BMI", "63 bodies", 0.15, 0.58, float(np.corrcoef(means, indices)[0, 1]),
            "Stinson et al. 2003, n 63 (95 % band of r 0.38)", False,
            "r is 0.81 within men and 0.65 within women here; but men press harder than women of like BMI (7.0 against "
            "5.7 kPa on average), and the row found no effect of sex"),
        Row("S10", "mean, carved over flat", "man 69.1 kg", 0, 1, carved.mean_kpa / plain.mean_kpa, WORK),
        Row("S10", "area, carved over flat", "man 69.1 kg", 1, 2, area, WORK),
        Row("S11", "share on the feet", "man 69.1 kg", 0.10, 0.16, plain.feet_share, "reading of a per-foot table"),
        Row("L4", "share on the seat", "man 69.1 kg", 0.77, 0.89, plain.load_n / weight, "Winter 2009"),
        Row("S12", "change of load, slouched", "man 69.1 kg", -0.07, -0.03, slouch, "Nag et al. 2008", False,
            "there a back rest takes the load; the model has none"),
    ]  # fmt: skip


def rows() -> list[Row]:
    """Return the whole table."""
    return [*flat_rows(), *pressed_rows(), *half_rows(), *direction_rows()]


def printed(table: list[Row]) -> str:
    """Return the table as text."""
    lines = [
        f"{'id':4} {'quantity':27} {'who':17} {'published':>14} {'ours':>7} {'z':>6}  {'elements':>8} {'z':>6}  inside"
    ]
    for row in table:
        band, star = f"{row.low:g} to {row.high:g}", " " if row.people else "*"
        ours = f"{row.ours:7.3g} {row.z(row.ours):+5.1f}{star}"
        taught = f"{'-':>8} {'':6}"
        if row.elements is not None:
            taught = f"{row.elements:8.3g} {row.z(row.elements):+5.1f}{star}"
        word = "yes" if row.inside else "no"
        lines.append(f"{row.check:4} {row.quantity:27} {row.who:17} {band:>14} {ours}  {taught}  {word}")
        lines += [f"{'':5}{words}" for words in (row.source, row.why) if words]
    return "\n".join(lines)


if __name__ == "__main__":
    sys.stdout.write(printed(rows()) + "\n")
