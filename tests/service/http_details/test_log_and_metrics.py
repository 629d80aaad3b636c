"""The request log and the metrics, read by others: the Combined Log Format by its own grammar (Apache HTTP Server's
documentation, mod_log_config), metrics by the parser of the Prometheus project."""

import logging
import re

import pytest
from fastapi.testclient import TestClient
from prometheus_client.parser import text_string_to_metric_families
from seatmesh_service.app import create_app
from seatmesh_service.requests.request_log import open_log

from seatmesh.cli.entry import main

from ..conftest import LIMITS

TOKEN = "a-token-of-24-letters-xx"
LINE = re.compile(
    r"(?P<client>\S+) - - \[(?P<when>\d{2}/[A-Z][a-z]{2}/\d{4}:\d\d:\d\d:\d\d [+-]\d{4})\] "
    r'"(?P<request>[^"]*)" (?P<status>\d{3}) (?P<size>\d+) "(?P<from>[^"]*)" "(?P<program>[^"]*)"'
)


@pytest.fixture
def logged(tmp_path):
    app = create_app(tmp_path / "kept", LIMITS, TOKEN, log=open_log(str(tmp_path / "log")))
    client = TestClient(app, base_url="http://seats.example", headers={"authorization": f"Bearer {TOKEN}"})

    def lines():
        return [LINE.fullmatch(one) for one in (tmp_path / "log").read_text().splitlines()]

    return client, lines


def test_every_request_is_a_line(logged):
    client, lines = logged
    health = client.get("/health?a=1", headers={"user-agent": "mill/2", "accept-encoding": "identity"})
    client.head("/v1/health")
    client.get("/health", headers={"authorization": "Bearer no"})
    client.post("/seats", content=b"secret body", headers={"origin": "https://evil.example"})
    found = lines()
    assert all(found)
    assert [(one["request"], one["status"]) for one in found] == [
        ("GET /health?a=1 HTTP/1.1", "200"), ("HEAD /v1/health HTTP/1.1", "200"), ("GET /health HTTP/1.1", "401"),
        ("POST /seats HTTP/1.1", "403"),
    ]  # fmt: skip
    assert (found[0]["program"], int(found[0]["size"]), int(found[1]["size"])) == (
        "mill/2",
        len(health.content),
        0,
    )


def test_neither_token_nor_body_nor_a_line_of_the_client_s_own(logged, tmp_path):
    client, lines = logged
    client.get(
        f"/health?token={TOKEN}",
        headers={"user-agent": f'x" 200 {TOKEN} \\', "referer": "http://é/".encode()},
    )
    client.post("/seats", content=b"secret body", headers={"content-type": "text/plain"})
    text = (tmp_path / "log").read_text()
    assert TOKEN not in text
    assert "secret body" not in text
    assert "[token]" in text
    assert all(lines())
    assert len(lines()) == 2


def test_a_log_that_is_moved_away_goes_on(logged, tmp_path):
    client, lines = logged
    client.get("/health")
    (tmp_path / "log").rename(tmp_path / "log.1")
    client.get("/health")
    assert len(lines()) == 1


def test_a_log_that_fails_costs_no_answer(tmp_path, monkeypatch):
    class Full(logging.Handler):
        def emit(self, record):
            try:
                raise OSError(28, "No space left on device")
            except OSError:
                self.handleError(record)

    monkeypatch.setattr(logging, "raiseExceptions", False)
    client = TestClient(create_app(tmp_path / "kept", LIMITS, log=Full()), base_url="http://localhost")
    assert client.get("/health").status_code == 200


def test_a_log_that_cannot_be_written_is_refused(capsys, monkeypatch, tmp_path):
    monkeypatch.chdir(tmp_path)
    assert main(["serve", "--log", "none/log", "--port", "1"]) == 2
    assert "--log" in capsys.readouterr().err


def test_metrics_are_read_by_their_own_parser(logged):
    with logged[0] as client:
        told_by(client)


def told_by(client):
    for path in ("/health", "/health", "/none", "/seats/x", "/seats/y"):
        client.get(path)
    client.request("FROB", "/health")
    answer = client.get("/metrics")
    assert answer.headers["content-type"] == "text/plain; version=0.0.4; charset=utf-8"
    families = {one.name: one for one in text_string_to_metric_families(answer.text)}
    samples = {
        (one.name, *sorted(one.labels.items())): one.value for fam in families.values() for one in fam.samples
    }
    told = {
        tuple(value for _, value in key[1:]): n
        for key, n in samples.items()
        if key[0] == "seatmesh_requests_total"
    }
    assert told["GET", "/health", "200"] == 2
    assert told["GET", "none", "404"] == 1
    assert told["GET", "/seats/{seat_id}", "404"] == 2
    assert told["other", "/health", "405"] == 1
    times = families["seatmesh_request_seconds"]
    assert times.type == "histogram"
    counts = [one.value for one in times.samples if one.labels.get("le") and one.labels["route"] == "/health"]
    assert counts == sorted(counts)
    assert counts[-1] == 3
    assert {
        "seatmesh_queue_length",
        "seatmesh_workers",
        "seatmesh_store_bytes",
        "seatmesh_connections",
    } <= set(families)
    assert families["seatmesh_workers"].type == "gauge"


def test_metrics_say_how_much_is_kept(client, seat, app):
    families = {one.name: one for one in text_string_to_metric_families(client.get("/metrics").text)}
    assert families["seatmesh_store_bytes"].samples[0].value == app.state.desk.store.total > 1000
    assert (
        families["seatmesh_workers"].samples[0].value == 4
    )  # two for seats, one for previews, one reads bodies
