"""The longest work there is, a job sheet for twelve sitters, ends as a job; previews do not wait behind it."""

import importlib
import json
import sys
import time
import urllib.request
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "service"))
live = importlib.import_module("live")

TWELVE = {
    "title": "twelve",
    "sitter": [
        {"name": f"sitter {one}", "body": {"stature_mm": 1540 + 30 * one, "mass_kg": 50 + 5 * one}}
        for one in range(12)
    ],
}
ONE = {"title": "one", "sitter": [{"body": "viola"}]}


def ask(address, path, body=None, **headers):
    data = None if body is None else json.dumps(body).encode()
    request = urllib.request.Request(address + path, data, {"Content-Type": "application/json", **headers})
    with urllib.request.urlopen(request, timeout=300) as answer:
        return answer.status, answer.read()


def followed(address, path, body=None):
    """Ask for a job, follow it to its end, and return what it told, its result's address, and how previews did."""
    status, data = ask(address, path, body, Prefer="respond-async")
    assert status == 202
    job, told, previews = json.loads(data), [], []
    began = time.monotonic()
    while job["state"] in ("queued", "working"):
        told.append((job["words"], job["share"]))
        look = time.monotonic()
        assert ask(address, "/seats/previews", ONE)[0] == 200
        previews.append(time.monotonic() - look)
        time.sleep(0.5)
        job = json.loads(ask(address, f"/jobs/{job['id']}")[1])
    assert job["state"] == "done", job
    sys.stdout.write(
        f"{path.rpartition('/')[2]}: {time.monotonic() - began:.0f} s, {len(dict(told))} steps in words, "
        f"slowest preview {max(previews):.2f} s\n"
    )
    return told, job["result"], previews


@pytest.mark.slow
def test_a_job_sheet_for_twelve_ends(tmp_path):
    with live.live(tmp_path / "kept") as address:
        told, result, previews = followed(address, "/seats", TWELVE)
        assert len(dict(told)) > 6
        assert [share for _, share in told] == sorted(share for _, share in told)
        seat = json.loads(ask(address, result)[1])
        assert len(seat["sitters"]) == 12
        more, sheet, waits = followed(address, f"/seats/{seat['id']}/job-sheet.pdf")
        assert "drawing" in more[-1][0]
        assert ask(address, sheet)[1].startswith(b"%PDF-")
        # On a machine that others use too; alone it is a tenth.
        assert max(previews + waits) < 5.0
