"""Ratios of processor times from one run: `python tests/benchmarks/ratios.py [--before PYTHON]`. Nothing is asserted.

What is compared is run in turn, so that others on the machine slow both alike. "All cells" is the plain way to the same
balance: every cell of the whole grid, from a level start. Beside a task stands what the machine takes for its bare
arithmetic and for reading its numbers once (`anchors.py`). The slopes are those of time over number, both by
logarithm: 1 is linear growth. The finite elements are one case of those that taught the fast law, on a coarse mesh; the
half-space solver is a general open-source one (tamaas, where it is installed) on Hertz's contact (C1) over a grid of
equal size. `--before` names the interpreter of another release, which then runs in turn with this one (`release.py`).
"""

from __future__ import annotations

import argparse
import json
import resource
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import anchors
import numpy as np
import test_formats

from seatmesh import Blank, Body, Order, OrderedSitter, Seat, estimate_body, flat_seat
from seatmesh.contact import Layer, Pose, balance
from seatmesh.design import preview as preview_module
from seatmesh.design.shape import design
from seatmesh.fit.bounded import programme as programme_module
from seatmesh.fit.bounded.active_set import BandFactor
from seatmesh.fit.hollow import Guest, HollowFit, prepare
from seatmesh.fit.search.lowest_place import with_lowest_place
from seatmesh.seating import sitter as sitter_module
from seatmesh.seating.laid import Laid
from seatmesh.seating.settle import depth_over, load_of, settle
from seatmesh.seating.sit import press
from seatmesh.seating.sit_many import sit_many, sit_stream
from seatmesh.seating.sitter import Sitter, lay_over
from seatmesh.tissue import TISSUE, TissueBed

SEAT = flat_seat()


def best_ms(run: Callable[[], object], times: int = 10) -> float:
    """Return the least of several processor times, ms."""
    return in_turn({"": run}, times)[""]


def in_turn(runs: Mapping[str, Callable[[], object]], times: int = 10) -> dict[str, float]:
    """Return the least of several processor times of each, ms; all are run in turn."""
    spent: dict[str, list[float]] = {name: [] for name in runs}
    for _ in range(times):
        for name, run in runs.items():
            start = time.process_time()
            run()
            spent[name].append(time.process_time() - start)
    return {name: 1000.0 * min(ones) for name, ones in spent.items()}


def bodies(count: int) -> Iterator[Body]:
    """Return different bodies, one after the other."""
    rng = np.random.default_rng(8)
    for _ in range(count):
        woman = bool(rng.integers(2))
        stature = float(rng.normal(1630 if woman else 1756, 60))
        mass = float(np.exp(rng.normal(4.2 if woman else 4.4, 0.15)))
        yield estimate_body("female" if woman else "male", stature, mass)


def all_cells(sitter: Sitter) -> Callable[[], object]:
    """Return the plain way: a balance on every cell of the whole grid, and the pressure there."""
    grid, bed = sitter.grid, TissueBed(TISSUE, sitter.fields.backing)
    area, load = grid.cell_area_mm2 * grid.wood.ravel(), load_of(sitter.laid(half=False).load, 0)

    def run() -> object:
        gap = sitter.fields.skin + SEAT.depth_mm(grid.x_mm[None, :], grid.y_mm[:, None]).ravel()
        layer = Layer(*sitter.cells_mm, gap, area, bed)
        pose = balance(layer, load).value
        return bed.response(pose.sink_mm(*sitter.cells_mm) - gap)

    return run


def afresh(sitter: Sitter) -> Callable[[], object]:
    """Return a balance of a body of which only skin is known: what it touches is found, too."""
    return lambda: settle(replace(sitter), SEAT)


def thousand(spacing_mm: float) -> tuple[dict[str, float], float]:
    """Return the times, ms, of 1,000 bodies at once and of 50 of them one by one, times 20; and memory grown, MiB."""
    before, many = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss, list(bodies(1000))

    def one_by_one() -> None:
        for body in many[::20]:
            press(lay_over(body, SEAT, spacing_mm=spacing_mm), SEAT)

    spent = in_turn({"at once": lambda: sit_many(many, SEAT, spacing_mm=spacing_mm), "alone": one_by_one}, 3)
    grown = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1024.0
    return {"at once": spent["at once"], "alone": 20.0 * spent["alone"]}, grown


def slope(numbers: Sequence[float], run: Callable[[float], object], times: int = 3) -> float:
    """Return the slope of processor time over a number, by logarithm."""
    spent = [best_ms(lambda one=one: run(one), times) for one in numbers]  # type: ignore[misc]
    return float(np.polyfit(np.log(numbers), np.log(spent), 1)[0])


def preview_afresh(order: Order) -> None:
    """Preview an order of which nothing is kept."""
    forget()
    preview_module.preview(order)


def design_afresh(order: Order) -> None:
    """Shape the seat of an order of which nothing is kept."""
    forget()
    design(order)


def forget() -> None:
    """Forget bodies over their blanks, and the depths of seats."""
    sitter_module._kept.cache_clear()
    preview_module._on_flat.cache_clear()
    depth_over.cache_clear()


def slopes() -> dict[str, float]:
    """Return how times grow with bodies, cells, sitters and the blank's area."""
    many = list(bodies(1600))
    spacings = {(8.0 / spacing) ** 2: spacing for spacing in (8.0, 4.0, 2.0)}
    blanks = {float(side): Blank(width_mm=side, depth_mm=0.95 * side) for side in (400.0, 480.0, 560.0)}
    body = estimate_body("male", 1760.0, 78.0)
    orders = {
        count: Order("bench", tuple(OrderedSitter(one) for one in many[:count])) for count in (1, 2, 4, 8)
    }

    def streamed(count: float) -> None:
        for _ in sit_stream(many[: int(count)], SEAT, batch=200):
            pass

    fits = {side: replace(flat_seat(), blank=blank) for side, blank in blanks.items()}
    wishes = orders[1].wishes

    def laid_out(seat: Seat) -> HollowFit:
        sitter = lay_over(many[0], seat)
        guests = [Guest(sitter, press(sitter, seat), 1.0)]
        return with_lowest_place(prepare(guests, seat, wishes), guests, wishes.depth_mm)

    ready = {side: laid_out(seat) for side, seat in fits.items()}

    return {
        "bodies, 100 to 1,600, in batches": slope((100, 400, 1600), streamed),
        "cells, 3,000 to 50,000": slope(
            list(spacings), lambda one: sit_many(many[:8], SEAT, spacing_mm=spacings[one])
        ),
        "cells, one body": slope(
            list(spacings), lambda one: settle(replace(lay_over(body, SEAT, spacing_mm=spacings[one])), SEAT)
        ),
        "sitters, 1 to 8, previews": slope(list(orders), lambda count: preview_afresh(orders[int(count)]), 3),
        # At one length of fairness: how many are tried is another matter. Side over side is half of area over area.
        "area of the blank, closed form": 0.5
        * slope(list(blanks), lambda side: ready[side].shaped(wishes.depth_mm), 8),
    }


def programmes_ms(body: Body) -> tuple[float, float]:
    """Return the time of the quadratic programme of one seat, and of its bare arithmetic."""
    kept: list[tuple[Any, ...]] = []
    usual = programme_module.least_inside

    def seen(*given: Any) -> Any:
        kept.append(given)
        return usual(*given)

    programme_module.least_inside = seen
    try:
        preview_module.preview(Order("bench", (OrderedSitter(body),)))
    finally:
        programme_module.least_inside = usual
    given = kept[-1]
    found = usual(*given)
    assert found is not None
    matrix, most = given[3], given[4]
    met = int(np.sum(most - matrix @ found.x < 1e-8))
    band = BandFactor(given[0], given[2]).factor.shape[0]
    return best_ms(lambda: usual(*given)), anchors.programme_ms(given[0].shape[0], band, met)


def releases(before: str) -> dict[str, tuple[float, float]]:
    """Return what each task of `release.py` takes now and took before, ms: the least of three runs in turn."""
    spent: dict[str, list[dict[str, float]]] = {sys.executable: [], before: []}
    for _ in range(3):
        for python, told in spent.items():
            script = Path(__file__).with_name("release.py")
            done = subprocess.run([python, str(script)], check=True, capture_output=True, text=True)
            told.append(json.loads(done.stdout))
    now, then = spent.values()
    return {name: (min(one[name] for one in now), min(one[name] for one in then)) for name in now[0]}


def half_space_ms() -> float | None:
    """Return the time that tamaas takes for C1 on 108 x 120 points, or None where it is not installed."""
    try:
        import tamaas
    except ImportError:
        return None
    tamaas.set_log_level(tamaas.LogLevel.error)
    shape, size = [108, 120], [0.43, 0.48]
    model = tamaas.ModelFactory.createModel(tamaas.model_type.basic_2d, size, shape)
    model.E, model.nu = 30e3, 0.49
    y, x = np.meshgrid(
        *(np.linspace(-0.5, 0.5, n, endpoint=False) * s for n, s in zip(shape, size, strict=True)),
        indexing="ij",
    )
    solver = tamaas.PolonskyKeerRey(model, -(x**2 + y**2) / 0.2, 1e-8)
    return best_ms(lambda: solver.solve(150.0 / (size[0] * size[1])), 3)


def finite_elements_ms() -> float:
    """Return the time of one body on the flat by the elements that taught the law, on a mesh of half their fineness."""
    sys.path.insert(0, str(Path(__file__).parents[1] / "teacher"))
    from press_bodies import cases, press_case

    first = next(cases(variants=False))
    return best_ms(lambda: press_case(first, 0.6), 1)


def balances() -> Iterator[tuple[str, float, str]]:
    """Yield what balances take, ms, beside their bare arithmetic and their numbers read once."""
    sitter = lay_over(estimate_body("male", 1760.0, 78.0), SEAT)
    settled = settle(sitter, SEAT)
    pose, laid = settled.solution.value, settled.pressed[0]
    near = Pose(pose.heave_mm + 0.3, pose.pitch + 0.002, pose.roll, pose.load)
    spent = in_turn(
        {
            "balance, all cells, level start": all_cells(sitter),
            "balance of a body never pressed": afresh(sitter),
            "balance from scratch, fields ready": lambda: settle(sitter.again(), SEAT),
            "balance from a pose nearby": lambda: settle(sitter.again(), SEAT, start=near),
            "balance asked for again": lambda: settle(sitter, SEAT),
            "fields of the cells that touch": lambda: fields_again(laid),
        }
    )
    cells = len(settled.pressed[1].touched)
    once, read = anchors.law_ms(cells), anchors.read_ms(24 * cells)
    words = f"{{:.1f}} x bare arithmetic of {{}} evaluations, reading {read:.3f} ms each"
    evaluations = {"balance from scratch, fields ready": 4, "balance from a pose nearby": 4}
    aims = {"balance from scratch, fields ready": "aim 0.5 ms", "balance from a pose nearby": "aim 0.2 ms"}
    for name, ms in spent.items():
        count = evaluations.get(name)
        note = "" if count is None else f"{aims[name]}; {words.format(ms / count / once, count)}"
        if name.startswith("fields"):
            note = f"{ms / anchors.fields_ms(cells):.1f} x bare arithmetic"
        yield name, ms, note


def fields_again(laid: Laid) -> None:
    """Find the fields of the cells that touch once more."""
    touching = laid._touching
    assert touching is not None
    x, y = laid.cells.x_mm[touching.at] - laid.at_mm[0], laid.cells.y_mm[touching.at] - laid.at_mm[1]
    laid.seated.held(x, y, laid.seated.skin(x, y))


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--before", help="the Python of another release")
    given = parser.parse_args()
    rows = list(balances())
    cold = {name: ms for name, ms, _ in rows}["balance from scratch, fields ready"]
    for spacing in (4.0, 8.0):
        spent, grown = thousand(spacing)
        note = f"aim 2 s of processor at 8 mm; memory grew by {grown:.0f} MiB"
        rows.append((f"1,000 bodies at once, {spacing:g} mm grid", spent["at once"], note))
        rows.append((f"1,000 bodies one by one, {spacing:g} mm grid", spent["alone"], ""))
    body = estimate_body("male", 1760.0, 78.0)
    programme, bare = programmes_ms(body)
    rows.append(("quadratic programme of one seat", programme, f"{programme / bare:.1f} x its factor alone"))
    order = Order("bench", (OrderedSitter(body),))
    rows.append(("preview, nothing kept", best_ms(lambda: preview_afresh(order)), "aim 100 ms"))
    rows.append(("design, nothing kept", best_ms(lambda: design_afresh(order), 3), "aim 350 ms"))
    half_space = half_space_ms()
    if half_space is not None:
        rows.append(("tamaas, Hertz (C1) on an equal grid", half_space, ""))
    rows.append(("finite elements, half a body, coarse", finite_elements_ms(), ""))
    for words, ms, note in rows:
        sys.stdout.write(f"{words:40} {ms:12.2f} ms {ms / cold:10.1f} x  {note}\n".rstrip() + "\n")
    for words, steep in slopes().items():
        sys.stdout.write(f"slope over {words:35} {steep:6.2f}  aim at most 1.1\n")
    for words, (now, then) in (releases(given.before) if given.before else {}).items():
        sys.stdout.write(f"{words:40} {now:12.2f} ms, before {then:.2f} ms: {now / then:.2f}\n")
    # Writers tell their own lines, beside the fastest general library.
    list(test_formats.ratios())


if __name__ == "__main__":
    main()
