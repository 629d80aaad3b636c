"""A disk that fills up: files that can be made again make room, then 507 in words; nothing that was kept is lost."""

import contextlib
import importlib
import json
import os
import shutil
import subprocess
import sys
import urllib.error
import urllib.request
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "service"))
live = importlib.import_module("live")
SIZE_KB = 1500


@pytest.fixture
def small(tmp_path):
    """Return a folder on a file system of its own that is soon full."""
    if os.name == "nt" or os.getuid() != 0 or shutil.which("mount") is None:
        pytest.skip("takes root, who can mount a small file system")
    place = tmp_path / "small"
    place.mkdir()
    command = ["mount", "-t", "tmpfs", "-o", f"size={SIZE_KB}k", "tmpfs", str(place)]
    if subprocess.run(command, check=False, capture_output=True).returncode:
        pytest.skip("no file system can be mounted here")
    try:
        yield place
    finally:
        subprocess.run(["umount", "-l", str(place)], check=True)


def ask(address, path, body=None, method=None):
    data = None if body is None else json.dumps(body).encode()
    request = urllib.request.Request(
        address + path, data, {"Content-Type": "application/json"}, method=method
    )
    try:
        with urllib.request.urlopen(request, timeout=120) as answer:
            return answer.status, answer.read()
    except urllib.error.HTTPError as refused:
        with refused:
            return refused.code, refused.read()


def order(number):
    return {
        "title": f"number {number}",
        "sitter": [{"body": "viola"}],
        "wishes": {"depth_mm": 9 + 0.2 * number},
    }


@pytest.mark.slow
def test_a_full_disk_is_said_and_nothing_is_lost(small, tmp_path):
    folder = small / "kept"
    process, address = live.start(folder)
    try:
        seats, refused = {}, None
        for number in range(60):
            status, data = ask(address, "/seats", order(number))
            if status != 201:
                refused = status, json.loads(data)
                break
            seat = json.loads(data)["id"]
            seats[seat] = data
            # A file that can be made again, larger than its seat: it makes room for seats.
            status, _ = ask(address, f"/seats/{seat}/mesh.stl?tolerance_mm=0.5")
            assert status in (200, 507)
        assert refused is not None
        status, told = refused
        assert status == 507, told
        assert "full" in told["detail"]
        assert str(small) not in json.dumps(told)
        assert len(seats) > 8
        # All is there still, and the service answers.
        for seat, data in seats.items():
            assert ask(address, f"/seats/{seat}") == (200, data)
        assert ask(address, "/seats/previews", order(1))[0] == 200
        # A seat less, and another one fits.
        gone = next(iter(seats))
        assert ask(address, f"/seats/{gone}", method="DELETE")[0] == 204
        del seats[gone]
        assert ask(address, "/seats", order(70))[0] == 201
    finally:
        process.terminate()
        process.wait(20)
    assert "Traceback" not in Path(f"{folder}.log").read_text()
    with contextlib.suppress(OSError):
        Path(f"{folder}.log").unlink()
    process, address = live.start(folder)
    try:
        for seat, data in seats.items():
            assert ask(address, f"/seats/{seat}") == (200, data)
    finally:
        process.terminate()
        process.wait(20)
