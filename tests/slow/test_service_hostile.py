"""Hostile input: refused quickly and in words, and the service answers others all the while."""

import contextlib
import gzip
import importlib
import json
import socket
import sys
import threading
import time
from http.client import HTTPConnection, HTTPException
from pathlib import Path
from urllib.request import urlopen

import psutil
import pytest

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "service"))
live = importlib.import_module("live")

pytestmark = pytest.mark.slow
JSON = {"Content-Type": "application/json"}
ORDER = {"blank": {"outline": "straight-sided"}, "sitter": [{"body": "viola"}], "wishes": {"depth_mm": 12}}
QUICK_S = 10.0
"""Not a figure of speed: a refusal that takes this long has done the work that it refuses."""


@pytest.fixture(scope="module")
def service(tmp_path_factory):
    process, address = live.start(tmp_path_factory.mktemp("kept"), "--limit", "body_s=3")
    yield process, int(address.rpartition(":")[2])
    process.terminate()
    process.wait(20)


@pytest.fixture
def port(service):
    """Give the port; afterwards the service still answers, and has not grown."""
    process, port = service
    yield port
    with urlopen(f"http://127.0.0.1:{port}/health", timeout=5) as answer:
        assert answer.status == 200
    assert psutil.Process(process.pid).memory_info().rss < 600e6


def ask(port, method, path, body=None, headers=JSON):
    connection = HTTPConnection("127.0.0.1", port, timeout=30)
    started = time.monotonic()
    try:
        connection.request(method, path, body, headers)
        answer = connection.getresponse()
        return answer.status, answer.read(), time.monotonic() - started
    finally:
        connection.close()


@pytest.fixture(scope="module")
def seat(service):
    status, data, _ = ask(service[1], "POST", "/seats", json.dumps(ORDER))
    assert status == 201
    return json.loads(data)["id"]


@pytest.mark.parametrize("announced", [True, False])
def test_a_body_of_100_mb(port, announced):
    one = socket.create_connection(("127.0.0.1", port), 30)
    length = "Content-Length: 100000000" if announced else "Transfer-Encoding: chunked"
    one.sendall(
        f"POST /seats HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\n{length}\r\n\r\n".encode()
    )
    part = b" " * 100_000 if announced else b"186a0\r\n" + b" " * 100_000 + b"\r\n"
    sent = 0
    with contextlib.suppress(OSError):
        for _ in range(1000):
            one.sendall(part)
            sent += 100_000
    said = b""
    with contextlib.suppress(OSError):
        said = one.recv(4000)
    one.close()
    # Either the refusal was read, or the connection was closed in the middle of the sending.
    assert b" 413 " in said or sent < 50_000_000


@pytest.mark.parametrize(
    ("body", "headers", "statuses"),
    [
        (b"[" * 900_000, JSON, {422}),
        (b'{"a":' * 150_000, JSON, {422}),
        (b'"' + b"\\" * 900_000, JSON, {400}),
        (b'{"sitter": [' + b"{}," * 300_000 + b"{}]}", JSON, {422}),
        (b'{"a": ' + b"9" * 900_000 + b"}", JSON, {400}),
        (b'{"sitter": NaN}', JSON, {400}),
        (b'{"sitter": [{"body": {"stature_mm": 1e400}}]}', JSON, {422}),
        (json.dumps({str(n): n for n in range(60_000)}).encode(), JSON, {422}),
        (gzip.compress(b" " * 100_000_000), JSON, {400}),
        (gzip.compress(b" " * 100_000_000), {**JSON, "Content-Encoding": "gzip"}, {413}),
        (gzip.compress(b"") * 40_000, {**JSON, "Content-Encoding": "gzip"}, {400}),
        (b"{}", {**JSON, "Content-Encoding": "br"}, {415}),
        (b".".join([b'"\\"b"'] * 150_000) + b" = 1", {"Content-Type": "application/toml"}, {422}),
        (
            b"".join(b"k%d.a.a.a.a.a.a.a = 1\n" % n for n in range(38_000)),
            {"Content-Type": "application/toml"},
            {422},
        ),
        (
            b"".join(b"[a%d.b.c.d.e.f.g.h]\n" % n for n in range(40_000)),
            {"Content-Type": "application/toml"},
            {422},
        ),
        (b"a = " + b"[" * 900_000, {"Content-Type": "application/toml"}, {422}),
        (b"a." * 400_000 + b"b = 1", {"Content-Type": "application/toml"}, {422}),
        (b'"a" . ' * 150_000 + b"b = 1", {"Content-Type": "application/toml"}, {422}),
        (b"a." * 10 + b"b = 1\n" * 9000, {"Content-Type": "application/toml"}, {422}),
        (b"x" * 900_000, {"Content-Type": "application/toml"}, {422}),
    ],
)
def test_bodies_of_every_bad_kind(port, body, headers, statuses):
    path = "/orders" if "toml" in headers["Content-Type"] else "/seats"
    status, data, took = ask(port, "POST", path, body, headers)
    assert status in statuses, data[:300]
    assert json.loads(data)["detail"]
    assert took < QUICK_S


@pytest.mark.parametrize(
    ("path", "status"),
    [
        ("depths.csv?spacing_mm=1e-9", 422),
        ("mesh.png?spacing_mm=0.000001", 422),
        ("mesh.stl?tolerance_mm=1e-300", 422),
        ("mesh.stl?tolerance_mm=inf", 422),
        ("mesh.stl?scale=1:" + "9" * 2000, 422),
        ("gauge-sheet.csv?bar_height_mm=40&spacing_mm=1e-12", 422),
        ("mesh.stl/../../../../../etc/passwd", 404),
        ("..%2f..%2f..%2fetc%2fpasswd", 404),
        ("mesh.stl%00.png", 422),
    ],
)
def test_files_of_every_bad_kind(port, seat, path, status):
    answered, data, took = ask(port, "GET", f"/seats/{seat}/{path}")
    assert answered == status, data[:300]
    assert b"root:" not in data
    assert took < QUICK_S


@pytest.mark.parametrize(
    "one", ["../" * 8 + "etc/passwd", "..%2f" * 8 + "etc%2fpasswd", "%2e%2e", "a" * 5000, "%ff%00"]
)
def test_ids_that_climb(port, one):
    status, data, _ = ask(port, "GET", f"/seats/{one}")
    assert status in (400, 404)
    assert b"root:" not in data


def test_what_is_no_http_is_told_so(port):
    with socket.create_connection(("127.0.0.1", port), 10) as one:
        one.sendall(b"\x16\x03\x01 hello\r\n\r\n")
        said = one.recv(4000)
    assert said.startswith(b"HTTP/1.1 400")
    assert b"application/problem+json" in said


def drip(port, head, stop, ended):
    """Send a request a byte at a time until the other side has enough of it."""
    with (
        contextlib.suppress(OSError, HTTPException),
        socket.create_connection(("127.0.0.1", port), 60) as one,
    ):
        one.settimeout(0.5)
        one.sendall(head)
        while not stop.is_set():
            one.sendall(b"a")
            with contextlib.suppress(TimeoutError):
                if one.recv(100) == b"":
                    break
                ended.append("answered")
                return
    ended.append("closed")


@pytest.mark.parametrize(
    "head",
    [
        b"POST /seats HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\nContent-Length: 9000\r\n\r\n",
        b"GET /health HTTP/1.1\r\nHost: localhost\r\nX-Slow: ",
    ],
    ids=["body", "head"],
)
def test_a_hundred_slow_clients(port, head):
    stop, ended = threading.Event(), []
    clients = [threading.Thread(target=drip, args=(port, head, stop, ended), daemon=True) for _ in range(100)]
    for one in clients:
        one.start()
    for _ in range(20):
        status, _, took = ask(port, "GET", "/health", headers={})
        assert status == 200
        assert took < QUICK_S
        time.sleep(0.1)
    until = time.monotonic() + 40
    while len(ended) < 100 and time.monotonic() < until:
        time.sleep(0.2)
    stop.set()
    assert len(ended) == 100


def test_clients_that_go_give_the_workers_free(port):
    for number in range(20):
        order = json.dumps({**ORDER, "title": f"gone {number}", "sitter": [{"body": "viola"}] * 12}).encode()
        with socket.create_connection(("127.0.0.1", port), 10) as one:
            head = "POST /seats HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\n"
            head += f"Content-Length: {len(order)}\r\n\r\n"
            one.sendall(head.encode() + order)
            time.sleep(0.05)
    status, _, took = ask(port, "POST", "/seats/previews", json.dumps(ORDER))
    assert status == 200
    assert took < QUICK_S
