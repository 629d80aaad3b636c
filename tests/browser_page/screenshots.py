"""Screenshots of every step, narrow and wide, light and dark: `python tests/browser_page/screenshots.py FOLDER`."""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parent))

from browser import WITH_3D, keep_job, launched, service
from jobs import BENCH, FOUR, ONE, in_units
from playwright.sync_api import sync_playwright

STEPS = ("sitters", "wood", "wishes", "seat", "compare", "take")
BENCH_PARTS = ("bench/marks", "bench/photograph", "bench/remarks", "bench/gauge")
SIZES = ((390, 844), (1280, 900))
LONG_MS = 60_000


def main(folder: Path, only: tuple[str, ...]) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    with (
        tempfile.TemporaryDirectory() as kept,
        service(Path(kept)) as address,
        sync_playwright() as playwright,
        launched(playwright, WITH_3D) as browser,
    ):
        for width, height in SIZES:
            for scheme in ("light", "dark"):
                context = browser.new_context(
                    viewport={"width": width, "height": height}, color_scheme=scheme
                )
                page = context.new_page()
                page.set_default_timeout(LONG_MS)
                for job, name, steps in (
                    (ONE, "one", STEPS),
                    (in_units(FOUR, "in"), "four", STEPS),
                    (BENCH, "bench", BENCH_PARTS),
                ):
                    keep_job(page, address, job)
                    for step in steps:
                        label = f"{width}-{scheme}-{name}-{step.replace('/', '-')}"
                        if all(word in label for word in only):
                            page.goto(f"{address}/#{step}")
                            shoot(page, step, folder / f"{label}.png")
                context.close()


def shoot(page: Any, step: str, path: Path) -> None:
    """Wait until all that the step shows is there, then take the whole page."""
    page.wait_for_selector("body[data-seat=shaped]")
    if step == "seat":
        page.locator(".spots").wait_for()
    if step == "bench/gauge":
        gauge(page)
    page.wait_for_timeout(700)
    page.evaluate("document.querySelector('#status').textContent = ''")
    page.screenshot(path=str(path), full_page=True)


def gauge(page: Any) -> None:
    """Key in readings of a carving that is 2 mm short of done, then ask where to cut."""
    page.wait_for_selector(".keys")
    for _ in range(14):
        expected = page.inner_text(".expected dd").replace("mm", "").strip()
        for key in f"{float(expected) - 2.0:.1f}":
            page.click(f".keys button:text-is('{key}')")
        page.click(".keys button:text-is('Next')")
    page.click("text=Where to cut next >> visible=true")
    page.wait_for_selector("#cut-next")


if __name__ == "__main__":
    main(Path(sys.argv[1] if len(sys.argv) > 1 else "out/page"), tuple(sys.argv[2:]))
