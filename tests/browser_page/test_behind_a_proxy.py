"""The page behind a proxy that serves it below a path, and a page of another origin that would change something."""

import contextlib
import threading
import time
import urllib.error
import urllib.request
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

import pytest

from .conftest import shaped
from .jobs import ONE

PREFIX = "/bench/seats"


class Proxy(BaseHTTPRequestHandler):
    """Takes the prefix off, as such proxies do; elsewhere there is nothing but an empty page."""

    target = ""
    asked: list[str]

    def answer(self):
        length = int(self.headers.get("Content-Length", 0))
        body = self.rfile.read(length) if length else None
        self.asked.append(self.path)
        if not self.path.startswith(PREFIX + "/"):
            status, headers, data = 200 if self.path == "/other" else 404, {"Content-Type": "text/html"}, b""
        else:
            kept = {
                name: self.headers[name]
                for name in self.headers
                if name.lower() not in ("host", "connection")
            }
            sent = urllib.request.Request(
                self.target + self.path[len(PREFIX) :], body, kept, method=self.command
            )
            try:
                got = urllib.request.urlopen(sent, timeout=60)
            except urllib.error.HTTPError as refused:
                got = refused
            with got:
                status, headers, data = got.status, dict(got.headers), got.read()
        self.send_response_only(status)
        for name, value in headers.items():
            if name.lower() not in ("content-length", "connection"):
                self.send_header(name, value)
        self.send_header("Content-Length", str(len(data)))
        self.end_headers()
        self.wfile.write(data)

    def do_GET(self):
        self.answer()

    def do_POST(self):
        self.answer()

    def log_message(self, *_):
        pass


@pytest.fixture
def proxy(address):
    handler = type("Here", (Proxy,), {"target": address, "asked": []})
    with ThreadingHTTPServer(("127.0.0.1", 0), handler) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield f"http://127.0.0.1:{server.server_port}", handler.asked
        server.shutdown()


def test_the_page_works_below_a_path(context, proxy):
    outside, asked = proxy
    page = context.new_page()
    faults = []
    page.on("pageerror", lambda error: faults.append(str(error)))
    page.goto(f"{outside}{PREFIX}/page/seat.svg")
    page.evaluate("(job) => localStorage.setItem('seatmesh job', JSON.stringify(job))", ONE)
    page.goto(f"{outside}{PREFIX}/#seat")
    shaped(page)
    page.goto(f"{outside}{PREFIX}/#sitters")
    page.locator("img.how").first.wait_for()
    for image in page.locator("img").all():
        image.scroll_into_view_if_needed()
        until(lambda image=image: image.evaluate("(one) => one.complete && one.naturalWidth > 0"))
    page.goto(f"{outside}{PREFIX}/guide/bench")
    page.get_by_role("link", name="The page").click()
    page.wait_for_url(f"{outside}{PREFIX}/")
    page.close()
    assert faults == []
    assert [one for one in asked if not one.startswith(PREFIX)] == []
    assert f"{PREFIX}/seats" in asked


def until(true, seconds=20.0):
    ends = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < ends
        time.sleep(0.1)


def test_a_page_of_another_origin_changes_nothing(context, proxy, address):
    outside, _ = proxy
    page = context.new_page()
    page.goto(f"{outside}/other")
    before = refused(address)
    for kind in ("text/plain", "application/x-www-form-urlencoded"):
        sent = "fetch(at, {method: 'POST', mode: 'no-cors', headers: {'Content-Type': kind}, body: 'a = 1'})"
        page.evaluate(
            f"async ([at, kind]) => {{ try {{ await {sent}; }} catch {{ /* the answer is not for it */ }} }}",
            [f"{address}/orders", kind],
        )
    page.close()
    assert refused(address) - before == 2


def refused(address):
    """Return how many requests were refused for their origin."""
    with contextlib.closing(urllib.request.urlopen(f"{address}/metrics", timeout=10)) as answer:
        lines = answer.read().decode().splitlines()
    return sum(
        float(one.rpartition(" ")[2]) for one in lines if "requests_total" in one and 'status="403"' in one
    )
