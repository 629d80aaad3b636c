"""Connections as they are on the wire: heads that two servers would read in two ways, and clients without an end.

Sources: RFC 9112, 3 (request line), 5.2 (obs-fold), 6.1 and 6.3 (lengths), 7.1 (chunks), 9.3.2 (pipelining); RFC 6585,
5 (431); RFC 9110, 15.5.15 (414).
"""

import contextlib
import json
import re
import socket
import time

import pytest
from prometheus_client.parser import text_string_to_metric_families

from ..live import live

OPTIONS = [
    f"--limit={one}"
    for one in ("write_s=1.5", "idle_s=2", "connections=30", "connections_each=20", "body_s=2")
]
POST = "POST /bodies/estimate HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\n"
BODY = json.dumps({"stature_mm": 1700, "mass_kg": 70})


@pytest.fixture(scope="module")
def log(tmp_path_factory):
    return tmp_path_factory.mktemp("log") / "requests"


@pytest.fixture(scope="module")
def port(tmp_path_factory, log):
    with live(tmp_path_factory.mktemp("kept"), *OPTIONS, "--log", str(log)) as address:
        yield int(address.rpartition(":")[2])


def connect(port):
    one = socket.create_connection(("127.0.0.1", port), 10)
    one.settimeout(10)
    return one


def said(one, data=b""):
    """Send something and return all that comes until the other side closes."""
    one.sendall(data.encode() if isinstance(data, str) else data)
    got = b""
    with contextlib.suppress(ConnectionResetError):
        while part := one.recv(65536):
            got += part
    return got


def exchange(port, data):
    with connect(port) as one:
        return said(one, data)


def is_refused(got, status):
    head, _, body = got.partition(b"\r\n\r\n")
    assert head.startswith(f"HTTP/1.1 {status} ".encode()), got[:200]
    assert got.count(b"HTTP/1.1 ") == 1
    assert b"application/problem+json" in head
    assert b"connection: close" in head.lower()
    table = json.loads(body)
    assert table["status"] == status
    return table["detail"]


def get(lines="", target="/health", version="1.1"):
    return f"GET {target} HTTP/{version}\r\nHost: localhost\r\n{lines}\r\n"


@pytest.mark.parametrize(
    ("request_", "status", "words"),
    [
        (f"{POST}Content-Length: 5\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n{get()}", 400, "one of them"),
        (f"{POST}Transfer-Encoding: chunked\r\nContent-Length: 5\r\n\r\n0\r\n\r\n", 400, "one of them"),
        (f"{POST}Content-Length: 5\r\nContent-Length: 6\r\n\r\n", 400, "Content-Length"),
        (f"{POST}Content-Length: 5\r\nContent-Length: 5\r\n\r\n", 400, "more than one Content-Length"),
        (f"{POST}Content-Length: 5, 5\r\n\r\n", 400, "more than one Content-Length"),
        (f"{POST}Content-Length: +5\r\n\r\n", 400, "Content-Length"),
        (f"{POST}Content-Length: -1\r\n\r\n", 400, "Content-Length"),
        (f"{POST}Content-Length: {'9' * 60}\r\n\r\n", 400, "Content-Length"),
        (f"{POST}Transfer-Encoding: gzip, chunked\r\n\r\n", 501, "Transfer-Encoding"),
        (f"{POST}Transfer-Encoding: chunked\r\nTransfer-Encoding: chunked\r\n\r\n", 501, "Transfer-Encoding"),
        (f"{POST}Transfer-Encoding: xchunked\r\n\r\n", 501, "Transfer-Encoding"),
        (f"{POST.replace('1.1', '1.0')}Transfer-Encoding: chunked\r\n\r\n", 400, "HTTP/1.0"),
        (f"{POST}Transfer-Encoding: chunked\r\n\r\nZZ\r\n", 400, "HTTP"),
        (f"{POST}Transfer-Encoding: chunked\r\n\r\n-5\r\n", 400, "HTTP"),
        (f"{POST}Transfer-Encoding: chunked\r\n\r\n{'f' * 40}\r\n", 400, "HTTP"),
        (f"{POST}Transfer-Encoding: chunked\r\n\r\n5\r\nabcdefgh\r\n0\r\n\r\n", 400, "HTTP"),
        (get("X-Folded: a\r\n b\r\n"), 400, "second line"),
        (get("X-Folded: a\r\n\tContent-Length: 5\r\n"), 400, "second line"),
        (get("X Y: a\r\n"), 400, "HTTP"),
        (get("Content-Length : 5\r\n"), 400, "HTTP"),
        (get("X: a\x00b\r\n"), 400, "HTTP"),
        (get("Host: localhost\r\n"), 400, "Host"),
        ("GET /health HTTP/1.1\r\n\r\n", 400, "Host"),
        ("GET /health HTTP/2.0\r\nHost: localhost\r\n\r\n", 505, "HTTP/1.1"),
        ("GET  /health HTTP/1.1\r\nHost: localhost\r\n\r\n", 400, "HTTP"),
        ("GET /he\x00alth HTTP/1.1\r\nHost: localhost\r\n\r\n", 400, "HTTP"),
        ("PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n", 505, "HTTP/1.1"),
        (get("".join(f"X-{n}: a\r\n" for n in range(120))), 431, "100 headers"),
        (get(f"X: {'a' * 20_000}\r\n"), 431, "16384 bytes"),
        (get(f"X: {'a' * 200_000}\r\n"), 431, "16384 bytes"),
        (get(target="/" + "a" * 8001), 414, "8000"),
        (get(target="/" + "a" * 100_000), 414, "8000"),
        ("GET /" + "a" * 100_000, 414, "8000"),
    ],
)  # fmt: skip
def test_heads_and_chunks_of_every_bad_kind(port, request_, status, words):
    assert words in is_refused(exchange(port, request_), status)


@pytest.mark.parametrize(
    "request_",
    [
        get("Connection: close\r\n"), get(version="1.0"), "\r\n" + get("Connection: close\r\n"),
        get("Connection: close\r\n", "http://localhost:8000/health"),
        get("Connection: close\r\n", "HTTP://localhost/health?a=1"),
        get("Connection: close\r\n" + "".join(f"X-{n}: a\r\n" for n in range(90))),
        get(f"Connection: close\r\nX: {'a' * 9000}\r\n"), get("Connection: close\r\n", "/health?" + "a" * 7900),
        f"{POST}Connection: close\r\nContent-Length: {len(BODY)}\r\n\r\n{BODY}",
        f"{POST}Connection: close\r\nTransfer-Encoding: Chunked\r\n\r\n{len(BODY):x};a=b\r\n{BODY}\r\n0\r\nX: y\r\n"
        "\r\n",
    ],
)  # fmt: skip
def test_what_is_good_is_answered(port, request_):
    assert exchange(port, request_).startswith(b"HTTP/1.1 200 ")


def test_an_absolute_target_s_host_outranks_the_header(port):
    """RFC 9112, 3.2.2."""
    assert b" 421 " in exchange(port, get("Connection: close\r\n", "http://evil.example/health"))[:20]


def test_an_upgrade_is_no_way_in(port):
    upgrade = "Connection: Upgrade, close\r\nUpgrade: websocket\r\nSec-WebSocket-Version: 13\r\n"
    got = exchange(port, get(upgrade + "Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\n"))
    assert got.startswith(b"HTTP/1.1 200 ")


def test_head_over_the_wire_has_no_body_and_the_connection_goes_on(port):
    two = get().replace("GET", "HEAD") + get("Connection: close\r\n")
    first, _, rest = exchange(port, two).partition(b"\r\n\r\n")
    length = int(re.search(rb"content-length: (\d+)", first.lower())[1])
    head, _, body = rest.partition(b"\r\n\r\n")
    assert head.startswith(b"HTTP/1.1 200 ")
    assert len(body) == length


def test_requests_behind_one_another_are_answered_in_turn(port):
    got = exchange(port, get() * 20 + get("Connection: close\r\n", "/none"))
    assert re.findall(rb"HTTP/1.1 (\d+)", got) == [b"200"] * 20 + [b"404"]


def test_very_many_requests_behind_one_another_end_with_the_first(port):
    with connect(port) as one, contextlib.suppress(ConnectionError):
        one.sendall(get().encode() * 4000)
        got = said(one)
        assert 0 < got.count(b"HTTP/1.1 200") < 4000


def test_a_connection_that_asks_nothing_more_ends(port):
    with connect(port) as one:
        one.sendall(get().encode())
        began = time.monotonic()
        assert said(one).startswith(b"HTTP/1.1 200")
        assert 1.5 < time.monotonic() - began < 6.0


def test_empty_lines_are_no_request(port):
    with connect(port) as one:
        one.sendall(get().encode())
        began = time.monotonic()
        with contextlib.suppress(ConnectionError):
            while time.monotonic() - began < 8.0:
                one.sendall(b"\r\n")
                time.sleep(0.2)
        assert time.monotonic() - began < 6.0


@pytest.mark.parametrize("lines", ["Sec-Fetch-Site: cross-site\r\n", "Host2: x\r\n"])
def test_a_body_that_goes_on_after_its_answer_ends_the_connection(port, lines):
    head = f"POST /none HTTP/1.1\r\nHost: localhost\r\n{lines}Content-Length: 900000000\r\n\r\n"
    with connect(port) as one:
        one.sendall(head.encode())
        began = time.monotonic()
        ended = False
        with contextlib.suppress(ConnectionError):
            while time.monotonic() - began < 8.0:
                one.sendall(b"a")
                time.sleep(0.1)
        ended = time.monotonic() - began < 6.0
        assert ended


def test_one_connection_too_many_is_told_so(port):
    with contextlib.ExitStack() as opened:
        for _ in range(20):
            opened.enter_context(connect(port)).sendall(b"GET /health HTTP/1.1\r\n")
        time.sleep(0.3)
        assert "20 connections of your address" in is_refused(exchange(port, b""), 503)
    time.sleep(0.5)
    assert exchange(port, get("Connection: close\r\n")).startswith(b"HTTP/1.1 200")


def test_a_client_that_reads_nothing_is_cut_and_one_that_reads_slowly_is_not(port):
    order = json.dumps({"sitter": [{"body": "viola"}], "wishes": {"depth_mm": 12}})
    head = f"{POST.replace('/bodies/estimate', '/seats')}Connection: close\r\nContent-Length: {len(order)}\r\n\r\n"
    seat = json.loads(exchange(port, head + order).partition(b"\r\n\r\n")[2])["id"]
    path = f"/seats/{seat}/mesh.txt?spacing_mm=0.5"
    whole = exchange(port, get("Connection: close\r\n", path)).partition(b"\r\n\r\n")[2]
    assert len(whole) > 5e6
    with small(port) as deaf:
        deaf.sendall(get("", path).encode())
        time.sleep(7.0)
        got = said(deaf)
        assert len(got) < len(whole) / 2
    with small(port) as slow:
        slow.sendall(get("Connection: close\r\n", path).encode())
        got = slow.recv(1000)
        began = time.monotonic()
        while time.monotonic() - began < 7.0:
            got += slow.recv(65536)
            time.sleep(0.1)
        got += said(slow)
        assert got.partition(b"\r\n\r\n")[2] == whole


def small(port):
    one = socket.socket()
    one.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 65536)
    one.settimeout(20)
    one.connect(("127.0.0.1", port))
    return one


def test_what_was_cut_is_counted_and_written_down(port, log):
    text = exchange(port, get("Connection: close\r\n", "/metrics")).partition(b"\r\n\r\n")[2].decode()
    families = {one.name: one for one in text_string_to_metric_families(text)}
    told = {one.labels["why"]: one.value for one in families["seatmesh_connections_refused"].samples}
    assert told["not-http"] >= 1
    lines = log.read_text().splitlines()
    assert any(' "-" 4' in one for one in lines)
    assert any('"GET /health HTTP/1.1" 200' in one for one in lines)
    assert not any("stature_mm" in one for one in lines)
