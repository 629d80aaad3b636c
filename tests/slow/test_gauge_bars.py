"""Carvings gauged with bars and rods that the check knows nothing of: what it orders, finds, names and asks for again.

The faults are geometry and chance, written down here and not taken from the check's own model: a bar 1 mm out, 0.3
degrees of tilt, 0.8 mm of sag, rows each 0.5 mm (standard deviation) off; readings with noise that neighbours share,
a rod that sticks 0.3 mm. Another set, `HELD_OUT`, was not looked at while limits were set: a foot on a chip in one
row, a bar that bends by the fourth power of its span, a bar that creeps from row to row, tilts of each row's own, heavy
tails, readings to half a millimetre. Four seats: a usual one, a hollow that reaches nearly to the rim, a wide plank
with a small hollow, a rounded blank.
"""

import sys
from collections import Counter
from dataclasses import replace

import numpy as np
import pytest

from seatmesh.gauge.bar.bar_report import bar_words
from seatmesh.gauge.bar.gauge_sheet import gauge_sheet
from seatmesh.gauge.bar.rod_gauge import Gauge
from seatmesh.gauge.check.check_readings import check_readings
from seatmesh.gauge.readings.readings_file import Row
from seatmesh.spline import BicubicSpline, clamped_knots
from seatmesh.surface import Seat
from seatmesh.wood.blank import Blank

pytestmark = pytest.mark.slow
SEEDS = range(200)
NOISE_MM = 0.25


def hollowed(reach_mm, width_mm=480.0, depth_mm=430.0, **blank):
    """Return a seat like the usual one whose hollow reaches about `reach_mm` from the centre line."""
    knots_x = clamped_knots(-0.5 * width_mm, 0.5 * width_mm, 40)
    knots_y = clamped_knots(50.0, depth_mm, 32)
    x, y = np.meshgrid(*((k[1:-3] + k[2:-2] + k[3:-1]) / 3.0 for k in (knots_x, knots_y)), indexing="ij")
    deepest = 0.31 * depth_mm
    along = np.where(y < deepest, (y - deepest) / (deepest - 60.0), (y - deepest) / (0.77 * depth_mm))
    ridge = 9.0 * np.exp(-((x / 28.0) ** 2)) / (1.0 + np.exp(-(y - 0.63 * depth_mm) / 14.0))
    depth = 18.5 * (1.0 - along**2 - (x / reach_mm) ** 2) - ridge
    hollow = BicubicSpline(knots_x, knots_y, 0.5 * (depth + depth[::-1]))
    return Seat(
        Blank(width_mm=width_mm, depth_mm=depth_mm, **blank), hollow=hollow, front_roll_mm=20.0, title="s"
    )


@pytest.fixture(scope="module")
def sheets(carved_seat):
    seats = (
        carved_seat,
        hollowed(236.0),
        hollowed(180.0, width_mm=600.0, depth_mm=450.0),
        hollowed(205.0, corner_radius_mm=150.0),
    )
    return [(seat, gauge_sheet(seat, 25.0, Gauge(60.0, 5.0))) for seat in seats]


def sagging(x, placing, power):
    """Sag of 0.8 mm over the longest line, less on shorter ones by a power of their span; none at the rests."""
    half = np.array([np.abs(x[placing == p]).max(initial=1.0) + 8.0 for p in range(placing.max() + 1)])[
        placing
    ]
    return -0.8 * (1.0 - (x / half) ** 2) * (half / half.max()) ** power


SLOPE = np.tan(np.radians(0.3))
BARS = {
    "as stated": lambda rng, x, y, p: np.zeros(len(x)),
    "1 mm out": lambda rng, x, y, p: np.full(len(x), rng.choice([-1.0, 1.0])),
    "tilted": lambda rng, x, y, p: rng.choice([-1.0, 1.0]) * SLOPE * x,
    "sagging": lambda rng, x, y, p: sagging(x, p, 2),
    "rows unlike": lambda rng, x, y, p: rng.normal(0.0, 0.5, p.max() + 1)[p],
    "all at once": lambda rng, x, y, p: (
        -1.0 + SLOPE * x + sagging(x, p, 2) + rng.normal(0, 0.3, p.max() + 1)[p]
    ),
}
HELD_OUT = {
    "a chip under one foot": lambda rng, x, y, p: np.where(
        p == rng.integers(3, p.max() - 2), 0.6 + 0.0025 * x, 0.0
    ),
    "bent like a beam": lambda rng, x, y, p: sagging(x, p, 4),
    "creeping": lambda rng, x, y, p: -0.8 * p / p.max(),
    "each row tilted": lambda rng, x, y, p: x * np.tan(np.radians(rng.normal(0.0, 0.15, p.max() + 1)))[p],
}


def shared(rng, x, y):
    """Noise of which half the variance is shared by neighbours within some 40 mm."""
    apart = np.hypot(x[:, None] - x, y[:, None] - y)
    root = np.linalg.cholesky(np.exp(-apart / 40.0) + 1e-9 * np.eye(len(x)))
    return NOISE_MM * np.sqrt(0.5) * (root @ rng.normal(size=len(x)) + rng.normal(size=len(x)))


NOISES = {
    "white": lambda rng, x, y: rng.normal(0.0, NOISE_MM, len(x)),
    "shared": shared,
    "a rod that sticks": lambda rng, x, y: rng.normal(0.0, 0.2, len(x)) - 0.3 * (rng.random(len(x)) < 0.3),
}
HELD_OUT_NOISES = {
    "heavy tails": lambda rng, x, y: 0.15 * rng.standard_t(3, len(x)),
    "to half a millimetre": lambda rng, x, y: np.round(2.0 * rng.normal(0.0, 0.2, len(x))) / 2.0,
    "friction": lambda rng, x, y: rng.normal(0.0, 0.15, len(x)) - rng.exponential(0.25, len(x)),
}


def gauged(sheets, seed, wood, bars, noises):
    """Return seat, rows, what the wood is off, and names of bar and noise, all drawn by the seed."""
    rng = np.random.default_rng([seed, 77])
    seat, sheet = sheets[seed % len(sheets)]
    x, y = (np.array([getattr(c, name) for c in sheet.crossings]) for name in ("x_mm", "y_mm"))
    placing = np.array([c.placing for c in sheet.crossings])
    bar, noise = list(bars)[seed // 4 % len(bars)], list(noises)[seed // 2 % len(noises)]
    off = wood(rng, seat, x, y)
    read = off + bars[bar](rng, x, y, placing) + noises[noise](rng, x, y)
    rows = tuple(
        Row(
            k + 2, c.point, c.x_mm, c.y_mm, c.expected_mm, float(c.expected_mm + read[k]), c.datum_mm, c.mirror,
            placing=c.placing,
        )
        for k, c in enumerate(sheet.crossings)
    )  # fmt: skip
    return seat, rows, off, f"{bar}, {noise}"


def sound(rng, seat, x, y):
    return np.zeros(len(x))


def quarter_left(rng, seat, x, y):
    """1 mm of wood left over a quarter of the hollow, down to the rim, where less cannot be left than there was."""
    side, front = rng.choice([-1.0, 1.0], 2)
    return -np.minimum(seat.depth_mm(x, y), 1.0) * (
        (x * side > 0.0) & ((y - 0.5 * seat.blank.depth_mm) * front > 0)
    )


def bowl(rng, seat, x, y):
    """A bowl 2 mm deep and 30 mm in radius somewhere in the hollow."""
    while True:
        a, b = rng.uniform(-170.0, 170.0), rng.uniform(90.0, 370.0)
        if seat.depth_mm(a, b) > 4.0:
            return 2.0 * np.maximum(0.0, 1.0 - ((x - a) ** 2 + (y - b) ** 2) / 30.0**2)


def say(title, counted):
    lines = "".join(f"\n  {name}: {count}" for name, count in sorted(counted.items()))
    sys.stdout.write(f"\n{title}{lines}\n")


def ordered(check):
    return bool(check.cuts) or "take" in check.state


@pytest.mark.parametrize(
    ("bars", "noises"), [(BARS, NOISES), (HELD_OUT, HELD_OUT_NOISES)], ids=["named", "held out"]
)
def test_no_cut_is_ordered_on_a_sound_seat(sheets, bars, noises):
    wrong, finished, doubted = Counter(), 0, 0
    for seed in SEEDS:
        seat, rows, _, name = gauged(sheets, seed, sound, bars, noises)
        check = check_readings(seat, rows)
        if ordered(check):
            wrong[name] += 1
        finished += check.finished
        doubted += "questioned" in check.state
    say(
        f"sound: a cut ordered in {wrong.total()} of 200; finished {finished}, something questioned {doubted}",
        wrong,
    )
    assert wrong.total() <= 0.05 * len(SEEDS)


def test_the_bar_is_named(sheets):
    """Of carvings whose bar is out in one way the right sentence is said; of those as stated, none of all rows."""
    words = {
        "1 mm out": "row: the bar sat",
        "tilted": "The bar sloped by",
        "sagging": "The bar hangs through",
    }
    said, count, wrong = Counter(), Counter(), 0
    for seed in SEEDS:
        seat, rows, _, name = gauged(sheets, seed, sound, BARS, NOISES)
        bar = name.split(",")[0]
        sentences = " ".join(bar_words(check_bars(seat, rows), "mm"))
        if bar in words:
            count[bar] += 1
            said[bar] += words[bar] in sentences
        wrong += bar == "as stated" and any(one in sentences for one in words.values())
    say(f"named, of {dict(count)}; of those as stated something was said of all rows in {wrong}", said)
    assert sum(said.values()) >= 0.95 * sum(count.values())
    assert wrong <= 2


def check_bars(seat, rows):
    from seatmesh.gauge.readings.readings import readings_on

    return readings_on(seat, rows).bars


@pytest.mark.parametrize(
    ("bars", "noises"), [(BARS, NOISES), (HELD_OUT, HELD_OUT_NOISES)], ids=["named", "held out"]
)
def test_wood_that_is_left_is_found(sheets, bars, noises):
    missed, share = Counter(), []
    for seed in SEEDS:
        seat, rows, off, name = gauged(sheets, seed, quarter_left, bars, noises)
        check = check_readings(seat, rows)
        left = off < -0.9
        found = np.array(check.state)[left] == "take"
        share.append(found.mean())
        there = [bool(left[np.argmin(distance(rows, cut))]) for cut in check.cuts]
        if not (found.any() and any(there)):
            missed[name] += 1
    say(
        f"1 mm left over a quarter: missed in {missed.total()} of 200; {np.mean(share):.0%} of its crossings",
        missed,
    )
    assert missed.total() <= 0.05 * len(SEEDS)


def distance(rows, cut):
    return np.array([np.hypot(row.x_mm - cut.x_mm, row.y_mm - cut.y_mm) for row in rows])


def test_a_bowl_is_too_deep_or_read_again_and_once_confirmed_never_finished(sheets):
    """What is questioned is read again, the bar set down anew, by the rows that the check itself asks for."""
    dropped, finished, deep_at_once, deep_then = Counter(), Counter(), 0, 0
    for seed in SEEDS:
        seat, rows, off, name = gauged(sheets, seed, bowl, BARS, NOISES)
        check = check_readings(seat, rows)
        state = np.array(check.state)
        if not np.isin(state[off > 0.4], ("too_deep", "questioned")).any():
            dropped[name] += 1
        deep_at_once += "too_deep" in state[off > 0.4]
        if check.finished:
            finished[f"{name}: at once"] += 1
        again = check_readings(seat, confirmed(rows, state, off, np.random.default_rng([seed, 78])))
        deep_then += "too_deep" in np.array(again.state)
        if again.finished:
            finished[f"{name}: confirmed"] += 1
    say(
        f"bowl: dropped in {dropped.total()} of 200; too deep at once {deep_at_once}, confirmed {deep_then}",
        dropped,
    )
    say(f"bowl: finished in {finished.total()} of 200", finished)
    assert dropped.total() <= 0.05 * len(SEEDS)
    assert not finished


def confirmed(rows, state, off, rng):
    """Return rows with second readings of what is questioned and of uncut wood beside it, the bar set down anew."""
    last = max(row.placing for row in rows)
    lines = {row.placing for row, one in zip(rows, state, strict=True) if one == "questioned"}
    more = []
    for line in lines:
        low = rng.normal(0.0, 0.5)
        for k, row in enumerate(rows):
            on_uncut = row.expected_mm - row.datum_mm <= 0.02
            if row.placing == line and (state[k] == "questioned" or on_uncut):
                read = row.expected_mm + off[k] + low + rng.normal(0.0, NOISE_MM)
                more.append(
                    replace(row, line=1000 + len(more), placing=last + 1 + line, reading_mm=float(read))
                )
    return (*rows, *more)
