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
    for _ in range(1200):
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


def keep_job(page: Any, address: str, job: dict[str, Any] | None) -> None:
    """Put a job into the browser's store, as if it had been told there before."""
    page.goto(f"{address}/page/seat.svg")
    page.evaluate("() => localStorage.clear()")
    if job is not None:
        page.evaluate("(job) => localStorage.setItem('seatmesh job', JSON.stringify(job))", job)
