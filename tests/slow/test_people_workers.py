"""The same people seated by one process, by two workers, and by a cluster whose workers are killed and added."""

import hashlib
import json
import os
import signal
import subprocess
import sys
import threading
import time
from contextlib import contextmanager
from pathlib import Path

import psutil
import pytest

pytest.importorskip("distributed")
pytest.importorskip("pyarrow")
sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "service"))

from live import free_port

from seatmesh import write_seat

COUNT = int(os.environ.get("PEOPLE_COUNT", "620"))
"""Seven parts, the last of them not whole."""


def begun(seat, folder, *options):
    """Return the command, started: people on the seat, parts kept in the folder."""
    words = [sys.executable, "-m", "seatmesh", "people", str(seat), "--count", str(COUNT), "--json"]
    words += ["--public", "us-2011", "--keep", str(folder), "--to", f"{folder}.parquet", *options]
    return subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)


def ended(command):
    out, err = command.communicate(timeout=3000)
    assert command.returncode == 0, err
    return json.loads(out)


def prints(folder):
    files = [*sorted(Path(folder).glob("*")), Path(f"{folder}.parquet")]
    return {
        one.name.replace(Path(folder).name, ""): hashlib.sha256(one.read_bytes()).hexdigest() for one in files
    }


def dask(*words):
    return subprocess.Popen(
        [sys.executable, "-m", "dask", *words], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )


def kill(process):
    """End a process of ours and its children, without warning."""
    for child in psutil.Process(process.pid).children(recursive=True):
        os.kill(child.pid, signal.SIGKILL)
    process.kill()
    process.wait()


@contextmanager
def scheduler():
    address = f"tcp://127.0.0.1:{free_port()}"
    process = dask("scheduler", "--host", "127.0.0.1", "--port", address.rpartition(":")[2], "--no-dashboard")
    workers = []

    def add():
        workers.append(dask("worker", address, "--nthreads", "1", "--no-dashboard"))
        return workers[-1]

    try:
        yield address, add
    finally:
        for one in [*workers, process]:
            if one.poll() is None:
                kill(one)


def parts_in(folder):
    return len(list(Path(folder).glob("part-*.npy")))


def wait_for_parts(folder, count, command):
    until = time.monotonic() + 2000
    while parts_in(folder) < count and command.poll() is None and time.monotonic() < until:
        time.sleep(0.2)


@pytest.mark.slow
def test_whoever_does_the_work_the_bytes_are_the_same(tmp_path, carved_seat):
    seat = tmp_path / "seat.json"
    write_seat(carved_seat, seat)
    alone = ended(begun(seat, tmp_path / "alone"))
    assert ended(begun(seat, tmp_path / "two", "--workers", "2")) == alone
    assert prints(tmp_path / "two") == prints(tmp_path / "alone")
    with scheduler() as (address, add):
        first = add()
        command = begun(seat, tmp_path / "cluster", "--scheduler", address)
        # Its words are read while it works, else it would wait for that.
        said = []
        reader = threading.Thread(target=lambda: said.append(command.communicate()))
        reader.start()
        wait_for_parts(tmp_path / "cluster", 1, command)
        kill(first)
        second, _ = add(), add()
        wait_for_parts(tmp_path / "cluster", 3, command)
        kill(second)
        reader.join()
        assert command.returncode == 0, said[0][1]
        assert json.loads(said[0][0]) == alone
    assert prints(tmp_path / "cluster") == prints(tmp_path / "alone")


@pytest.mark.slow
def test_a_command_that_was_killed_goes_on_from_its_parts(tmp_path, carved_seat):
    seat = tmp_path / "seat.json"
    write_seat(carved_seat, seat)
    command = begun(seat, tmp_path / "cut")
    wait_for_parts(tmp_path / "cut", 2, command)
    kill(command)
    command.communicate()
    done = sorted((tmp_path / "cut").glob("part-*.npy"))
    assert 2 <= len(done) < 7
    stamps = {one: one.stat().st_mtime_ns for one in done}
    again = ended(begun(seat, tmp_path / "cut"))
    assert {one: one.stat().st_mtime_ns for one in done} == stamps
    assert again == ended(begun(seat, tmp_path / "alone"))
    assert prints(tmp_path / "cut") == prints(tmp_path / "alone")
