"""`seatmesh serve` refuses in words and with exit code 2, before it listens."""

import socket

import pytest
from seatmesh_service.keeping.own_folder import claim

from seatmesh.cli.entry import main

LONG = "a-token-of-24-letters-xx"


@pytest.fixture(autouse=True)
def alone(monkeypatch, tmp_path):
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("SEATMESH_TOKEN", raising=False)


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--host", "0.0.0.0"], "give --token"),
        (["--host", "::"], "give --token"),
        (["--host", "seats.example"], "give --token"),
        (["--host", "0.0.0.0", "--token", "short"], "at least 16"),
        (["--token", "with a space in it"], "ASCII"),
        (["--port", "0"], "1 to 65535"),
        (["--limit", "facet=3"], "did you mean 'facets'"),
        (["--limit", "facets=none"], "whole number above 0"),
        (["--folder", "file"], "cannot be used"),
        (["--folder", "taken"], "in use by another service"),
        (["--host", "203.0.113.7", "--token", LONG], "cannot be listened at"),
    ],
)
def test_refused(capsys, tmp_path, options, words):
    (tmp_path / "file").write_text("no folder")
    claim(tmp_path / "taken")
    with socket.create_server(("127.0.0.1", 0)) as one:
        port = one.getsockname()[1]
    assert main(["serve", "--port", str(port), *options]) == 2
    said = capsys.readouterr()
    assert words in said.err
    assert "Traceback" not in said.err


def test_a_port_that_is_taken(capsys):
    with socket.create_server(("127.0.0.1", 0)) as one:
        assert main(["serve", "--port", str(one.getsockname()[1])]) == 2
    assert "cannot be listened at" in capsys.readouterr().err


def test_a_short_token_from_the_environment_is_no_way_round(capsys, monkeypatch):
    monkeypatch.setenv("SEATMESH_TOKEN", "short")
    assert main(["serve", "--host", "0.0.0.0"]) == 2
    assert "at least 16" in capsys.readouterr().err
