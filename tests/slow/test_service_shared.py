"""Several services, one folder: they see each other's seats, join each other's jobs, and take over what one left."""

import importlib
import json
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "service"))
live = importlib.import_module("live")

HEAVY = {
    "title": "heavy",
    "sitter": [
        {"name": f"{one}", "body": {"stature_mm": 1550 + 40 * one, "mass_kg": 55 + 5 * one}}
        for one in range(6)
    ],
}
LIGHT = {"title": "light", "sitter": [{"body": "viola"}]}


def ask(address, path, body=None, method=None, **headers):
    data = None if body is None else json.dumps(body).encode()
    request = urllib.request.Request(
        address + path, data, {"Content-Type": "application/json", **headers}, method=method
    )
    with urllib.request.urlopen(request, timeout=120) as answer:
        return answer.status, answer.read()


def job_of(address, job):
    return json.loads(ask(address, f"/jobs/{job}")[1])


def until(what, patience_s=120.0):
    end = time.monotonic() + patience_s
    while time.monotonic() < end:
        if value := what():
            return value
        time.sleep(0.2)
    raise AssertionError("it did not happen")


@pytest.mark.slow
def test_two_services_share_seats_files_jobs_and_what_one_leaves(tmp_path):
    folder = tmp_path / "kept"
    first, here = live.start(folder)
    second, there = live.start(folder)
    try:
        seat = json.loads(ask(here, "/seats", LIGHT)[1])["id"]
        mesh = ask(here, f"/seats/{seat}/mesh.stl?tolerance_mm=1")[1]
        began = time.monotonic()
        assert ask(there, f"/seats/{seat}/mesh.stl?tolerance_mm=1")[1] == mesh
        assert time.monotonic() - began < 2.0  # it is given out, not made again
        ask(there, f"/seats/{seat}/pin", method="PUT")
        listed = json.loads(ask(here, "/seats")[1])["seats"]
        assert [(one["id"], one["pinned"]) for one in listed] == [(seat, True)]
        # A job of the first is told of by the second, and joined rather than begun anew.
        status, told = ask(here, "/seats", HEAVY, Prefer="respond-async")
        job = json.loads(told)["id"]
        assert status == 202
        status, told = ask(there, "/seats", HEAVY, Prefer="respond-async")
        assert (status, json.loads(told)["id"]) == (202, job)
        until(lambda: job_of(there, job)["state"] == "working")
        # The first is killed in the middle of it; the second takes the job over and ends it.
        first.kill()
        first.wait()
        done = until(lambda: (now := job_of(there, job))["state"] in ("done", "failed") and now)
        assert done["state"] == "done"
        kept = ask(there, f"/seats/{job}")[1]
        assert json.loads(kept)["title"] == "heavy"
        # A third one begins beside it, clears nothing away, and says the same.
        third, elsewhere = live.start(folder)
        try:
            assert ask(elsewhere, f"/seats/{job}")[1] == kept
            assert ask(elsewhere, f"/seats/{seat}/mesh.stl?tolerance_mm=1")[1] == mesh
        finally:
            third.terminate()
            third.wait(20)
    finally:
        for one in (first, second):
            one.terminate()
            one.wait(20)


@pytest.mark.slow
def test_a_job_goes_on_after_the_service_was_killed(tmp_path):
    folder = tmp_path / "kept"
    process, address = live.start(folder)
    job = json.loads(ask(address, "/seats", HEAVY, Prefer="respond-async")[1])["id"]
    until(lambda: job_of(address, job)["state"] == "working")
    process.kill()
    process.wait()
    process, address = live.start(folder)
    try:
        assert job_of(address, job)["state"] in ("queued", "working")
        assert (
            until(lambda: (now := job_of(address, job))["state"] in ("done", "failed") and now)["state"]
            == "done"
        )
        assert json.loads(ask(address, f"/seats/{job}")[1])["title"] == "heavy"
    finally:
        process.terminate()
        process.wait(20)


@pytest.mark.slow
def test_a_job_that_is_cancelled_in_one_service_ends_in_the_other(tmp_path):
    folder = tmp_path / "kept"
    first, here = live.start(folder)
    second, there = live.start(folder)
    try:
        job = json.loads(ask(here, "/seats", HEAVY, Prefer="respond-async")[1])["id"]
        until(lambda: job_of(there, job)["state"] == "working")
        ask(there, f"/jobs/{job}", method="DELETE")
        assert job_of(here, job)["state"] == "cancelled"
        time.sleep(5.0)
        with pytest.raises(urllib.error.HTTPError) as gone:
            ask(here, f"/seats/{job}")
        assert gone.value.code == 404
        gone.value.close()
        metrics = ask(here, "/metrics")[1].decode()
        assert "seatmesh_queue_length 0" in metrics
    finally:
        for one in (first, second):
            one.terminate()
            one.wait(20)
