"""Clients that never read, never end, or come in crowds: they are cut, and cost the others neither time nor memory."""

import contextlib
import importlib
import json
import socket
import sys
import threading
import time
from http.client import HTTPConnection
from pathlib import Path

import psutil
import pytest

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "service"))
live = importlib.import_module("live")

pytestmark = pytest.mark.slow
ORDER = {"blank": {"outline": "straight-sided"}, "sitter": [{"body": "viola"}], "wishes": {"depth_mm": 12}}
LIMITS = ("write_s=12", "body_s=3", "connections=300", "connections_each=200")


@pytest.fixture(scope="module")
def service(tmp_path_factory):
    options = [f"--limit={one}" for one in LIMITS]
    process, address = live.start(tmp_path_factory.mktemp("kept"), *options)
    yield process, int(address.rpartition(":")[2])
    process.terminate()
    process.wait(20)


@pytest.fixture
def port(service):
    return service[1]


def memory_mb(service):
    return psutil.Process(service[0].pid).memory_info().rss / 1e6


def ask(port, method, path, body=None, headers=None):
    connection = HTTPConnection("127.0.0.1", port, timeout=120)
    began = time.monotonic()
    try:
        connection.request(method, path, body, headers or {"Content-Type": "application/json"})
        answer = connection.getresponse()
        return answer.status, answer.read(), time.monotonic() - began
    finally:
        connection.close()


@pytest.fixture(scope="module")
def large(service):
    """Return the path of a file of some 30 MB, and its size."""
    seat = json.loads(ask(service[1], "POST", "/seats", json.dumps(ORDER))[1])["id"]
    path = f"/seats/{seat}/mesh.txt?spacing_mm=0.23"
    size = len(ask(service[1], "GET", path)[1])
    assert size > 28e6
    return path, size


def is_closed(one):
    one.settimeout(60)
    try:
        while one.recv(1 << 20):
            pass
    except ConnectionError:
        pass
    except TimeoutError:
        return False
    return True


def test_forty_clients_that_never_read_a_large_file(service, port, large):
    path, size = large
    before = memory_mb(service)
    deaf = []
    for _ in range(40):
        one = socket.socket()
        one.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
        one.connect(("127.0.0.1", port))
        one.sendall(f"GET {path} HTTP/1.1\r\nHost: localhost\r\n\r\n".encode())
        deaf.append(one)
    most = 0.0
    for _ in range(20):
        time.sleep(0.25)
        most = max(most, memory_mb(service))
        status, _, took = ask(port, "GET", "/health")
        assert (status, took < 5.0) == (200, True)
    assert most - before < 100.0
    open_now = len(psutil.Process(service[0].pid).net_connections())
    time.sleep(25.0)
    left = len(psutil.Process(service[0].pid).net_connections())
    assert left <= open_now - 40
    for one in deaf:
        one.close()
    # The file is whole for those who read it.
    assert len(ask(port, "GET", path)[1]) == size


def test_a_slow_reader_gets_the_whole_file(port, large):
    path, size = large
    with socket.create_connection(("127.0.0.1", port), 60) as one:
        one.sendall(f"GET {path} HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n".encode())
        got, began = 0, time.monotonic()
        while part := one.recv(100_000):
            got += len(part)
            # Some 1.5 MB/s for longer than `write_s`, then as fast as it goes.
            if time.monotonic() - began < 16.0:
                time.sleep(0.06)
        assert size < got < size + 2000


def test_a_very_slow_reader_is_not_cut(port, large):
    """Some 5 kB/s: the kernel takes more when a third of its buffer is free, which takes longer than `write_s`."""
    path, _ = large
    with socket.socket() as one:
        one.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 8192)
        one.settimeout(20)
        one.connect(("127.0.0.1", port))
        one.sendall(f"GET {path} HTTP/1.1\r\nHost: localhost\r\n\r\n".encode())
        got, began = 0, time.monotonic()
        while time.monotonic() - began < 45.0:
            part = one.recv(2500)
            assert part
            got += len(part)
            time.sleep(0.5)
        one.settimeout(5)
        for _ in range(400):
            part = one.recv(65536)
            assert part
            got += len(part)
        assert got > 1.0e6


def test_a_crowd_is_bounded_and_told_so(service, port):
    before = memory_mb(service)
    with contextlib.ExitStack() as opened:
        crowd = [opened.enter_context(socket.create_connection(("127.0.0.1", port), 10)) for _ in range(400)]
        time.sleep(1.0)
        assert len(psutil.Process(service[0].pid).net_connections()) <= 210
        refused = 0
        for one in crowd[250:]:
            with contextlib.suppress(OSError):
                refused += one.recv(200).startswith(b"HTTP/1.1 503")
        assert refused > 100
        assert memory_mb(service) - before < 100.0
    time.sleep(1.0)
    assert ask(port, "GET", "/health")[0] == 200


def test_a_body_in_chunks_of_one_byte(port):
    """What is sent with much ado is counted as it is: the service answers others meanwhile."""
    worst = []

    def look():
        for _ in range(20):
            worst.append(ask(port, "GET", "/health")[2])
            time.sleep(0.1)

    others = threading.Thread(target=look)
    others.start()
    head = "POST /seats HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\n"
    head += "Transfer-Encoding: chunked\r\n\r\n"
    with socket.create_connection(("127.0.0.1", port), 30) as one, contextlib.suppress(OSError):
        one.sendall(head.encode())
        for _ in range(300):
            one.sendall(b"1\r\n \r\n" * 3000)
        one.recv(1000)
    others.join()
    assert max(worst) < 5.0


def test_pipelines_of_a_hundred_clients(service, port):
    before = memory_mb(service)
    clients = []
    for _ in range(100):
        one = socket.create_connection(("127.0.0.1", port), 10)
        one.setblocking(False)
        # It is cut when it sends too much, or takes no more.
        with contextlib.suppress(OSError):
            while True:
                one.send(b"GET /vocabulary HTTP/1.1\r\nHost: localhost\r\n\r\n" * 1000)
        clients.append(one)
    time.sleep(3.0)
    assert ask(port, "GET", "/health")[2] < 5.0
    assert memory_mb(service) - before < 200.0
    for one in clients:
        one.close()
    time.sleep(1.0)
    assert ask(port, "GET", "/health")[0] == 200


@pytest.mark.parametrize("path", ["/orders", "/seats", "/seats/previews"])
def test_texts_of_a_megabyte_hold_up_nobody(port, path):
    """Bodies that take long to read are read by a worker: the health of the service is answered meanwhile."""
    kind = "application/toml" if path == "/orders" else "application/json"
    text = (
        b"".join(b"k%d.a = 1\n" % n for n in range(70_000))
        if path == "/orders"
        else json.dumps({f"k{n}": [n] * 3 for n in range(28_000)}).encode()
    )
    assert 0.6e6 < len(text) < 1e6
    told = []
    asking = [
        threading.Thread(target=lambda: told.append(ask(port, "POST", path, text, {"Content-Type": kind})))
        for _ in range(4)
    ]
    for one in asking:
        one.start()
    worst = 0.0
    while any(one.is_alive() for one in asking):
        worst = max(worst, ask(port, "GET", "/health")[2])
        time.sleep(0.02)
    assert {one[0] for one in told} == {422}
    # Read in the loop that answers, a text would hold up the others for as long as it takes to read.
    assert worst < max(1.0, 0.5 * min(one[2] for one in told))
