"""A real browser, and the service as a maker starts it; both in processes of their own."""

from __future__ import annotations

import contextlib
import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from typing import Any

BROWSERS = ("chromium", "chromium-browser", "google-chrome")
WITH_3D = ["--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader", "--ignore-gpu-blocklist"]
"""Drawing in 3D by the processor, so that the tests need no graphics card."""
WITHOUT_3D = ["--no-sandbox", "--disable-gpu", "--disable-3d-apis"]


PATIENCE_MS = 120_000
"""How long a test waits for what is to come: a busy machine is slow, not wrong; what never comes fails all the same."""
FIREFOXES = ("firefox-esr", "firefox")
QUIET_FIREFOX = {
    "webgl.force-enabled": True,
    "browser.download.alwaysOpenPanel": False,
    "browser.download.panel.shown": True,
}
"""Drawing in 3D by the processor; and no list of what was saved, which opens over the page and takes the keyboard."""
AS_IT_IS = {"color_scheme": "null", "reduced_motion": "null", "forced_colors": "null", "contrast": "null"}
"""What Playwright would set in a page, and a released Firefox has no command for: its preferences say it instead."""


def found_firefox() -> str | None:
    """Return the path of an installed Firefox; none is ever downloaded."""
    return os.environ.get("SEATMESH_FIREFOX") or next(filter(None, map(shutil.which, FIREFOXES)), None)


def found_browser() -> str | None:
    """Return the path of an installed browser; none is ever downloaded."""
    return os.environ.get("SEATMESH_BROWSER") or next(filter(None, map(shutil.which, BROWSERS)), None)


@contextlib.contextmanager
def service(folder: Path, *options: str) -> Iterator[str]:
    """Give the address of a service that ends with the block."""
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        port = one.getsockname()[1]
    command = [
        sys.executable,
        "-m",
        "seatmesh",
        "serve",
        "--port",
        str(port),
        "--folder",
        str(folder),
        *options,
    ]
    with subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as process:
        try:
            yield _answering(process, f"http://127.0.0.1:{port}")
        finally:
            process.terminate()


def _answering(process: subprocess.Popen[bytes], address: str) -> str:
    # Generous, for a machine that has much else to do: what does not start at all is seen at once.
    for _ in range(1800):
        with contextlib.suppress(OSError), urllib.request.urlopen(f"{address}/", timeout=5) as answer:
            if answer.status == 200:
                return address
        if process.poll() is not None:
            break
        time.sleep(0.1)
    raise RuntimeError("the service did not start")


@contextlib.contextmanager
def launched(playwright: Any, options: list[str]) -> Iterator[Any]:
    """Give a started browser."""
    browser = playwright.chromium.launch(executable_path=found_browser(), args=options)
    try:
        yield browser
    finally:
        browser.close()


@contextlib.contextmanager
def screen() -> Iterator[dict[str, str]]:
    """Give the environment of a screen that nobody sees: without one Firefox draws nothing in 3D."""
    program = shutil.which("Xvfb")
    if program is None:
        yield dict(os.environ)
        return
    reading, writing = os.pipe()
    command = [program, "-displayfd", str(writing), "-screen", "0", "1400x1000x24", "-nolisten", "tcp"]
    with subprocess.Popen(command, pass_fds=[writing], stderr=subprocess.DEVNULL) as process:
        os.close(writing)
        try:
            with os.fdopen(reading) as told:
                yield {**os.environ, "DISPLAY": f":{told.readline().strip()}"}
        finally:
            process.terminate()


@contextlib.contextmanager
def launched_firefox(playwright: Any, scheme: str = "light") -> Iterator[Any]:
    """Give a started Firefox as its makers release it, driven over WebDriver BiDi."""
    wishes = {"layout.css.prefers-color-scheme.content-override": 0 if scheme == "dark" else 1}
    with screen() as around:
        browser = playwright.firefox.launch(
            channel="moz-firefox",
            executable_path=found_firefox(),
            firefox_user_prefs={**wishes, **QUIET_FIREFOX},
            headless="DISPLAY" not in around,
            env=around,
        )
        try:
            yield browser
        finally:
            browser.close()


def keep_job(page: Any, address: str, job: dict[str, Any] | None) -> None:
    """Put a job into the browser's store, as if it had been told there before."""
    page.goto(f"{address}/page/seat.svg")
    page.evaluate("() => localStorage.clear()")
    if job is not None:
        page.evaluate("(job) => localStorage.setItem('seatmesh job', JSON.stringify(job))", job)


def own_module(name: str) -> str:
    """Return JavaScript that gives a module as the page runs it: from the folder of its release, not a second one."""
    return f"import(document.querySelector('script[type=module]').src.replace('steps.js', '{name}'))"
