"""Ratios of times from one run: `python tests/benchmarks/ratios.py`. Nothing here is asserted.

The finite elements are one case of those that taught the fast law, on a coarse mesh; the half-space solver is a general
open-source one (tamaas, where it is installed) on Hertz's contact (C1) over a grid of equal size.
"""

from __future__ import annotations

import resource
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np

from seatmesh import Body, estimate_body, flat_seat
from seatmesh.seating.settle import settle
from seatmesh.seating.sitter import lay_over

SEAT = flat_seat()


def best_ms(run: Callable[[], object], times: int = 10) -> float:
    """Return the least of several times, ms."""
    spent = []
    for _ in range(times):
        start = time.perf_counter()
        run()
        spent.append(time.perf_counter() - start)
    return 1000.0 * min(spent)


def bodies(count: int) -> Iterator[Body]:
    """Return different bodies, one after the other."""
    rng = np.random.default_rng(8)
    for _ in range(count):
        woman = bool(rng.integers(2))
        stature = float(rng.normal(1630 if woman else 1756, 60))
        mass = float(np.exp(rng.normal(4.2 if woman else 4.4, 0.15)))
        yield estimate_body("female" if woman else "male", stature, mass)


def thousand(spacing_mm: float) -> tuple[float, float]:
    """Seat 1,000 bodies one after the other; return seconds and the growth of the process's memory, MiB."""
    start, before, pose = time.perf_counter(), resource.getrusage(resource.RUSAGE_SELF).ru_maxrss, None
    for body in bodies(1000):
        pose = settle(lay_over(body, SEAT, spacing_mm=spacing_mm), SEAT, start=pose).solution.value
    return time.perf_counter() - start, (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1024.0


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


def main() -> None:
    """Print the table."""
    body = estimate_body("male", 1760.0, 78.0)
    sitter = lay_over(body, SEAT)
    near = settle(sitter, SEAT).solution.value
    near = type(near)(near.heave_mm + 0.3, near.pitch + 0.002, near.roll, near.load)
    fields = best_ms(lambda: lay_over(body, SEAT))
    cold = best_ms(lambda: settle(sitter, SEAT))
    warm = best_ms(lambda: settle(sitter, SEAT, start=near))
    rows = [
        ("both height fields, 4 mm grid", fields, "aim 2 ms"),
        ("balance from scratch, fields ready", cold, "aim 0.5 ms"),
        ("balance from a pose nearby", warm, ""),
    ]
    for spacing in (4.0, 8.0):
        seconds, grown = thousand(spacing)
        words = f"aim 2 s; memory grew by {grown:.0f} MiB"
        rows.append((f"1,000 different bodies, {spacing:g} mm grid", 1000.0 * seconds, words))
    half_space = half_space_ms()
    if half_space is not None:
        rows.append(("tamaas, Hertz (C1) on an equal grid", half_space, ""))
    rows.append(("finite elements, half a body, coarse", finite_elements_ms(), ""))
    for words, ms, note in rows:
        sys.stdout.write(f"{words:40} {ms:12.2f} ms {ms / cold:10.1f} x  {note}\n".rstrip() + "\n")


if __name__ == "__main__":
    main()
