"""A service in a process of its own, on loopback, as a maker starts it."""

import contextlib
import socket
import subprocess
import sys
import time
import urllib.request


def free_port():
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return one.getsockname()[1]


def start(folder, *options, port=None):
    """Return a started service and its address, as soon as it answers."""
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
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    address = f"http://127.0.0.1:{port}"
    for _ in range(300):
        with contextlib.suppress(OSError), urllib.request.urlopen(f"{address}/health", timeout=5) as answer:
            if answer.status == 200:
                return process, address
        if process.poll() is not None:
            break
        time.sleep(0.1)
    process.kill()
    raise RuntimeError("the service did not start")


@contextlib.contextmanager
def live(folder, *options):
    """Give the address of a service that ends with the block."""
    process, address = start(folder, *options)
    try:
        yield address
    finally:
        process.terminate()
        process.wait(20)
