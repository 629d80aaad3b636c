"""A service in a process of its own, on loopback, as a maker starts it."""

import contextlib
import random
import socket
import subprocess
import sys
import time
import urllib.request
from pathlib import Path


def free_port():
    """Return a free port below those that clients are given, so that none of them takes it between two starts."""
    while True:
        port = random.SystemRandom().randrange(20_000, 30_000)
        with contextlib.suppress(OSError), socket.create_server(("127.0.0.1", port)):
            return port


def start(folder, *options, port=None):
    """Return a started service and its address, as soon as it gives its page, which needs no token."""
    port = port or free_port()
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
    log = Path(f"{folder}.log")
    with log.open("wb") as written:
        process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=written)
    address = f"http://127.0.0.1:{port}"
    for _ in range(300):
        with contextlib.suppress(OSError), urllib.request.urlopen(f"{address}/", timeout=5) as answer:
            if answer.status == 200:
                return process, address
        if process.poll() is not None:
            break
        time.sleep(0.1)
    process.kill()
    raise RuntimeError(f"the service did not start: {log.read_text()[-2000:]}")


@contextlib.contextmanager
def live(folder, *options):
    """Give the address of a service that ends with the block."""
    process, address = start(folder, *options)
    try:
        yield address
    finally:
        process.terminate()
        process.wait(20)
