"""Server, workers and what they are forked from killed at 50 random moments under load: what was finished stays.

It stays byte for byte, and there is no half file.

What a stranger laid among the seats meanwhile stays as well, also when all of them make room at last.
"""

import contextlib
import gzip
import importlib
import json
import os
import random
import signal
import sys
import threading
import time
from http.client import HTTPException
from pathlib import Path
from urllib.error import HTTPError
from urllib.request import Request, urlopen

import psutil
import pytest

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "service"))
live = importlib.import_module("live")

MOMENTS, CLIENTS, ORDERS = 50, 6, 60
PATIENCE_S = 30.0
FILES = (
    "mesh.stl?tolerance_mm=1",
    "mesh.obj?tolerance_mm=1",
    "depths.csv",
    "order.toml",
    "pictures/plan.png",
)


def order(number):
    return {
        "title": f"number {number}",
        "blank": {"outline": "straight-sided"},
        "sitter": [{"body": {"stature_mm": 1600 + number, "mass_kg": 70}}],
        "wishes": {"depth_mm": 12},
    }


class Client(threading.Thread):
    """Posts orders and fetches files until told to stop; notes what it got, and what is wrong."""

    def __init__(self, seed, state):
        super().__init__(daemon=True)
        self.random, self.state = random.Random(seed), state

    def run(self):
        while not self.state["stop"]:
            try:
                self.once()
            except HTTPError as refused:
                self.note_refusal(refused)
            except (OSError, HTTPException):
                time.sleep(0.1)  # The server was killed; it comes back.

    def once(self):
        address = self.state["address"]
        body = json.dumps(order(self.random.randrange(ORDERS))).encode()
        with urlopen(
            Request(f"{address}/seats", body, {"Content-Type": "application/json"}), timeout=60
        ) as answer:
            data = answer.read()
        seat = json.loads(data)["id"]
        self.got(f"/seats/{seat}", data)
        path = f"/seats/{seat}/{self.random.choice(FILES)}"
        with urlopen(address + path, timeout=60) as answer:
            self.got(path, answer.read())

    def got(self, path, data):
        with self.state["lock"]:
            self.state["answers"] += 1
            if self.state["seen"].setdefault(path, data) != data:
                self.state["wrong"].append(path)

    def note_refusal(self, refused):
        with refused:
            if refused.code != 503:
                self.state["wrong"].append((refused.code, refused.read()[:300]))
        time.sleep(0.2)


def whole(folder):
    """Return how many files a store has, each of them whole."""
    count = 0
    for path in (folder / "seats").rglob("*"):
        if path.is_file():
            count += 1
            data = path.read_bytes()
            assert data, path
            if path.suffix == ".json":
                json.loads(data)
            if path.suffix == ".gz":
                # The plain file follows its packed form, so the last one may lack it; a whole one it is all the same.
                plain = path.with_name(path.name.removesuffix(".gz"))
                assert gzip.decompress(data) == (
                    plain.read_bytes() if plain.exists() else gzip.decompress(data)
                )
            if path.suffix == ".png":
                assert data.endswith(b"IEND\xaeB`\x82"), path
            if path.suffix == ".stl":
                assert len(data) == 84 + 50 * int.from_bytes(data[80:84], "little"), path
    return count


def strangers_in(folder, laid):
    """Lay a file and a folder of a stranger's beside whatever is there, once in each place."""
    for place in [folder, *(one for one in folder.rglob("*") if one.is_dir() and "mine" not in str(one))]:
        with contextlib.suppress(OSError):  # It was just put in place, or made room.
            (place / "mine").mkdir(exist_ok=True)
            (place / "mine" / "plan.txt").write_text("a plan")
            (place / "mine.txt").write_text("mine")
            laid |= {place / "mine" / "plan.txt", place / "mine.txt"}


def workers_of(process):
    found = []
    with contextlib.suppress(psutil.Error):
        for one in psutil.Process(process.pid).children(recursive=True):
            if "forkserver" in " ".join(one.cmdline()) and one.parent().pid != process.pid:
                found.append(one)
    return found


def forkserver_of(process):
    """Return the process that workers are forked from, if it is there."""
    with contextlib.suppress(psutil.Error):
        return [
            one for one in psutil.Process(process.pid).children() if "forkserver" in " ".join(one.cmdline())
        ]
    return []


def kill(processes):
    for one in processes:
        with contextlib.suppress(psutil.Error):
            os.kill(one.pid, signal.SIGKILL)


def under_way(state):
    """Wait until the clients get answers again, so that the next kill comes in the middle of work."""
    before, until = state["answers"], time.monotonic() + PATIENCE_S
    while state["answers"] < before + 2 and time.monotonic() < until:
        time.sleep(0.02)


@pytest.mark.slow
def test_nothing_finished_is_lost(tmp_path):
    chance = random.Random(7)
    process, address = live.start(tmp_path)
    laid = set()
    port = int(address.rpartition(":")[2])
    state = {
        "stop": False,
        "address": address,
        "lock": threading.Lock(),
        "seen": {},
        "wrong": [],
        "answers": 0,
    }
    clients = [Client(seed, state) for seed in range(CLIENTS)]
    for one in clients:
        one.start()
    killed = {"server": 0, "worker": 0, "forkserver": 0}
    for _ in range(MOMENTS):
        under_way(state)
        strangers_in(tmp_path / "seats", laid)
        time.sleep(chance.uniform(0.0, 1.5))
        workers = workers_of(process)
        kind = chance.choices(("server", "worker", "forkserver"), (0.4, 0.4, 0.2))[0] if workers else "server"
        killed[kind] += 1
        if kind == "server":
            process.kill()
            process.wait()
            _, alive = psutil.wait_procs(workers, 10)
            assert not alive, "workers outlive their server"
            process, _ = live.start(tmp_path, port=port)
            assert list((tmp_path / "making").iterdir()) == [] or workers_of(process)
        else:
            # Without the process that they are forked from, a worker is needed anew at once.
            kill([chance.choice(workers), *(forkserver_of(process) if kind == "forkserver" else ())])
    state["stop"] = True
    for one in clients:
        one.join(90)
    assert state["wrong"] == []
    process.kill()
    process.wait()
    files = whole(tmp_path)
    process, address = live.start(tmp_path, port=port)
    try:
        for path, data in state["seen"].items():
            with urlopen(address + path, timeout=60) as answer:
                assert answer.read() == data, path
    finally:
        process.terminate()
        process.wait(20)
    kept = len(list(tmp_path.rglob("answer.json")))
    process, _ = live.start(tmp_path, "--limit", "seats_mb=1", port=port)
    process.terminate()
    process.wait(20)
    assert len(list(tmp_path.rglob("answer.json"))) < kept
    assert len(laid) > 50
    assert all(path.read_text() in ("a plan", "mine") for path in laid)
    sys.stdout.write(
        f"{killed} killed, {state['answers']} answers, {len(state['seen'])} of them different and "
    )
    sys.stdout.write(f"the same after it; {files} files whole\n")
    assert min(killed.values()) >= 5
    assert len(state["seen"]) > 20
