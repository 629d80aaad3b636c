"""The page in figures: bytes, requests, first use on a slow line, drag to redraw, release to best, painting.

    python tests/benchmarks/page.py [ADDRESS ...]

Each address is a service that is running, such as one of an older release beside this one; they are measured in turn,
in one run. Without an address a service of this tree is started. The first is the one that the others are set against.
"""

from __future__ import annotations

import contextlib
import statistics
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from playwright.sync_api import sync_playwright

from tests.browser_page.browser import WITH_3D, keep_job, launched, service
from tests.browser_page.jobs import ONE

LINE_BYTES_S = 1.6e6 / 8
LATENCIES_MS = (20, 150)
"""The shop's own network, and a telephone far from its mast; from memory, common figures of both."""
USABLE = "#step input"
ROUNDS = 5
DRAGS, AFTER_A_REST = 12, 3
REST_MS = 2500.0
"""Pictures of the drag before are all drawn by then, also where no graphics card draws them."""


def main() -> None:
    """Print the table."""
    with contextlib.ExitStack() as stack:
        addresses = sys.argv[1:]
        if not addresses:
            folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
            addresses = [stack.enter_context(service(folder))]
        playwright = stack.enter_context(sync_playwright())
        browser = stack.enter_context(launched(playwright, WITH_3D))
        found = [figures(browser, address) for address in addresses]
    width = max(map(len, found[0]))
    for name, first in found[0].items():
        others = [f"{one[name]:>10.0f}  {one[name] / first:5.2f} times" for one in found[1:]]
        sys.stdout.write(f"{name:<{width}}  {first:>10.0f}  {'  '.join(others)}" + "\n")


def figures(browser: Any, address: str) -> dict[str, float]:
    """Measure one service."""
    told: dict[str, float] = {}
    for latency in LATENCIES_MS:
        rounds = [first_use(browser, address, latency) for _ in range(ROUNDS)]
        told |= {
            f"first use, {latency} ms away: {name}": statistics.median(one[name] for one in rounds)
            for name in rounds[0]
        }
    return told | sliding(browser, address)


def first_use(browser: Any, address: str, latency_ms: float) -> dict[str, float]:
    """Open the page for the first time, and once more, on a line of 1.6 Mbit/s."""
    context = browser.new_context(viewport={"width": 390, "height": 844})
    page = context.new_page()
    wire = context.new_cdp_session(page)
    wire.send("Network.enable")
    wire.send("Network.emulateNetworkConditions", {
        "offline": False, "latency": latency_ms, "downloadThroughput": LINE_BYTES_S, "uploadThroughput": LINE_BYTES_S,
    })  # fmt: skip
    sent: list[float] = []
    wire.on("Network.loadingFinished", lambda one: sent.append(one["encodedDataLength"]))
    told: dict[str, float] = {}
    for visit in ("first", "again"):
        sent.clear()
        begun = time.perf_counter()
        page.goto(address, wait_until="commit")
        page.wait_for_selector(USABLE)
        told[f"{visit}, ms"] = 1000 * (time.perf_counter() - begun)
        page.wait_for_load_state("networkidle")
        told[f"{visit}, kB in all"] = sum(sent) / 1000
        told[f"{visit}, requests in all"] = len(sent)
    context.close()
    return told


FOLLOWED = """() => new Promise((done) => {
  const slider = document.querySelector('input[type=range]');
  const begun = performance.now();
  slider.value = Number(slider.value) === 12 ? 13 : 12;
  const watched = new MutationObserver(() => seen());
  const seen = () => {
    if (document.body.dataset.seat !== 'following') return;
    watched.disconnect();
    requestAnimationFrame(() => setTimeout(() => done(performance.now() - begun)));
  };
  watched.observe(document.body, { attributes: true, attributeFilter: ['data-seat'] });
  delete document.body.dataset.seat;
  slider.dispatchEvent(new Event('input', { bubbles: true }));
})"""
RELEASED = """() => new Promise((done) => {
  const slider = document.querySelector('input[type=range]');
  const begun = performance.now();
  const watched = new MutationObserver(() => {
    if (document.body.dataset.seat !== 'shaped') return;
    watched.disconnect();
    requestAnimationFrame(() => setTimeout(() => done(performance.now() - begun)));
  });
  watched.observe(document.body, { attributes: true, attributeFilter: ['data-seat'] });
  slider.dispatchEvent(new Event('change', { bubbles: true }));
})"""


UPLOADS = """
  for (const kind of ['texImage2D', 'texSubImage2D', 'bufferData', 'bufferSubData']) {
    const plain = WebGL2RenderingContext.prototype[kind];
    WebGL2RenderingContext.prototype[kind] = function (...given) {
      window.brought = true;
      return plain.apply(this, given);
    };
  }
  for (const kind of ['drawElements', 'drawArrays']) {
    const plain = WebGL2RenderingContext.prototype[kind];
    WebGL2RenderingContext.prototype[kind] = function (...given) {
      if (window.brought && window.slid) {
        const begun = window.slid;
        window.slid = 0;
        requestAnimationFrame(() => setTimeout(() => { window.redrawn = performance.now() - begun; }));
      }
      return plain.apply(this, given);
    };
  }
  window.addEventListener('input', () => Object.assign(window, { slid: performance.now(), brought: false }), true);
"""
"""The view is redrawn where it is brought new figures after a slider has moved, and then draws: the shape that is
foreseen from other previews, or the preview itself."""
PAINTED = """() => new Promise((done) => {
  let busy = 0;
  const watched = new PerformanceObserver((tasks) => {
    for (const task of tasks.getEntries()) busy = Math.max(busy, task.duration);
  });
  watched.observe({ entryTypes: ['longtask'] });
  const begun = performance.now();
  location.hash = 'seat';
  const look = () => {
    const href = document.querySelector('svg.map image')?.getAttribute('href');
    if (!/^(blob|data):/.test(href ?? '')) return requestAnimationFrame(look);
    const took = performance.now() - begun;
    setTimeout(() => { watched.disconnect(); done({ took, busy }); }, 500);
  };
  look();
})"""


def sliding(browser: Any, address: str) -> dict[str, float]:
    """Slide a wish on the step of the wishes, and let go."""
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    page = context.new_page()
    page.set_default_timeout(120_000)
    page.add_init_script(UPLOADS)
    keep_job(page, address, ONE)
    page.goto(f"{address}/#wishes")
    page.wait_for_selector("body[data-seat=shaped]")
    wire = context.new_cdp_session(page)
    wire.send("Performance.enable")
    drags, drawn, rested, releases, busy, painted = [], [], [], [], [], []

    def drag() -> float:
        drags.append(page.evaluate(FOLLOWED))
        page.wait_for_function("() => window.redrawn")
        return float(page.evaluate("() => { const took = window.redrawn; window.redrawn = 0; return took; }"))

    for _ in range(3):
        before = on_main_thread(wire)
        drawn += [drag() for _ in range(DRAGS)]
        for _ in range(AFTER_A_REST):
            page.wait_for_timeout(REST_MS)
            rested.append(drag())
        busy.append((on_main_thread(wire) - before) / (DRAGS + AFTER_A_REST))
        releases.append(page.evaluate(RELEASED))
        painted.append(page.evaluate(PAINTED))
        page.evaluate("() => { location.hash = 'wishes'; }")
        page.wait_for_selector("input[type=range]")
        page.wait_for_timeout(500)
    context.close()
    return {
        "drag to first redraw, one after the other, ms": statistics.median(drawn),
        "drag to first redraw, after a rest, ms": statistics.median(rested),
        "drag to the service's preview, ms": statistics.median(drags),
        "drag to preview, slowest of ten, ms": sorted(drags)[int(0.9 * len(drags))],
        "drag, main thread busy, ms": statistics.median(busy),
        "release to best, ms": statistics.median(releases),
        "step of the seat to its painted map, ms": statistics.median(one["took"] for one in painted),
        "longest task meanwhile, ms": statistics.median(one["busy"] for one in painted),
    }


def on_main_thread(wire: Any) -> float:
    """Return how long the page's main thread has worked, in ms."""
    told = {one["name"]: one["value"] for one in wire.send("Performance.getMetrics")["metrics"]}
    return 1000 * told["TaskDuration"]


if __name__ == "__main__":
    main()
