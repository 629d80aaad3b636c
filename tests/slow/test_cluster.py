"""Two machines' worth on one: a scheduler and two workers as processes of their own, one killed while it works."""

import contextlib
import importlib
import json
import os
import signal
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path

import psutil
import pytest

pytest.importorskip("distributed")
sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "service"))
live = importlib.import_module("live")

ORDERS = 8


def order(number):
    return {
        "title": f"number {number}",
        "sitter": [
            {"name": f"{one}", "body": {"stature_mm": 1550 + 20 * number + 60 * one, "mass_kg": 60 + 5 * one}}
            for one in range(2)
        ],
    }


def ask(address, path, body=None, method=None, **headers):
    data = None if body is None else json.dumps(body).encode()
    request = urllib.request.Request(
        address + path, data, {"Content-Type": "application/json", **headers}, method=method
    )
    with urllib.request.urlopen(request, timeout=120) as answer:
        return answer.status, answer.read()


def dask(*words):
    return subprocess.Popen(
        [sys.executable, "-m", "dask", *words], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )


@contextlib.contextmanager
def cluster(workers, port=None):
    """Give the address of a scheduler and the processes of its workers."""
    port = port or live.free_port()
    address = f"tcp://127.0.0.1:{port}"
    begun = [dask("scheduler", "--host", "127.0.0.1", "--port", str(port), "--no-dashboard")]
    try:
        begun += [dask("worker", address, "--nthreads", "1", "--no-dashboard") for _ in range(workers)]
        yield address, begun[1:]
    finally:
        for one in begun:
            for child in [*psutil.Process(one.pid).children(recursive=True)] if one.poll() is None else []:
                child.kill()
            one.kill()
            one.wait()


def ended(address, jobs, patience_s=240.0):
    """Return the jobs, all ended."""
    until = time.monotonic() + patience_s
    told = {}
    while time.monotonic() < until:
        told = {one: json.loads(ask(address, f"/jobs/{one}")[1]) for one in jobs}
        if all(one["state"] in ("done", "failed", "cancelled") for one in told.values()):
            return told
        time.sleep(0.3)
    raise AssertionError(told)


@pytest.mark.slow
def test_a_scheduler_that_is_started_again_is_found_again(tmp_path):
    port = live.free_port()
    with contextlib.ExitStack() as ending:
        first = contextlib.ExitStack()
        scheduler, _ = first.enter_context(cluster(1, port))
        address = ending.enter_context(live.live(tmp_path / "kept", "--scheduler", scheduler))
        assert ask(address, "/seats", order(0), Prefer="wait=120")[0] == 201
        first.close()
        with pytest.raises(urllib.error.HTTPError) as refused:
            ask(address, "/seats", order(1), Prefer="wait=120")
        with refused.value as answer:
            told = json.loads(answer.read())
            assert (answer.code, bool(answer.headers["Retry-After"])) == (503, True)
        assert "cannot be reached" in told["detail"]
        ending.enter_context(cluster(1, port))
        # It takes a while until the worker is there; the service asks again each time.
        made = False
        for _ in range(6):
            with contextlib.suppress(urllib.error.HTTPError):
                made = made or ask(address, "/seats", order(1), Prefer="wait=120")[0] == 201
        assert made


@pytest.mark.slow
def test_every_job_ends_right_though_a_worker_is_killed(tmp_path):
    with (
        cluster(2) as (scheduler, workers),
        live.live(tmp_path / "kept", "--scheduler", scheduler) as address,
    ):
        jobs = []
        for number in range(ORDERS):
            status, answer = ask(address, "/seats", order(number), Prefer="respond-async")
            assert status == 202
            jobs.append(json.loads(answer)["id"])
        words = set()
        until = time.monotonic() + 60
        while time.monotonic() < until and len(words) < 5:
            words |= {json.loads(ask(address, f"/jobs/{one}")[1])["words"] for one in jobs}
            time.sleep(0.1)
        # The nanny of a worker goes too, else it starts another one.
        lost = psutil.Process(workers[0].pid)
        for child in lost.children(recursive=True):
            os.kill(child.pid, signal.SIGKILL)
        lost.kill()
        told = ended(address, jobs)
        on_the_cluster = {one: ask(address, f"/seats/{one}")[1] for one in jobs}
    assert {one["state"] for one in told.values()} == {"done"}
    assert any("best seat" in one or "alone" in one for one in words), words
    # The embedded workers say the same to the byte.
    with live.live(tmp_path / "alone") as address:
        for number in (0, ORDERS - 1):
            seat = json.loads(ask(address, "/seats", order(number), Prefer="wait=120")[1])["id"]
            assert ask(address, f"/seats/{seat}")[1] == on_the_cluster[seat]


@pytest.mark.slow
def test_a_scheduler_that_is_none_is_refused_before_anything_is_made(tmp_path):
    command = [sys.executable, "-m", "seatmesh", "serve", "--port", str(live.free_port())]
    command += ["--folder", str(tmp_path / "kept"), "--scheduler", f"tcp://127.0.0.1:{live.free_port()}"]
    ran = subprocess.run(command, capture_output=True, text=True, check=False, timeout=120)
    assert ran.returncode == 2
    assert "no Dask scheduler answers there" in ran.stderr
    assert "Traceback" not in ran.stderr
    assert not (tmp_path / "kept").exists()
