"""The service under load, from other processes on loopback; prints figures, asserts right answers.

Part one: warm downloads of one mesh of about 1 MB on 16 connections. Part two: 64 clients, each posting orders of
its own and reading the seat back. Run by hand, on an idle machine: `python tests/benchmarks/load.py [SECONDS]`.
"""

from __future__ import annotations

import asyncio
import json
import random
import sys
import tempfile
import time
from dataclasses import dataclass, field
from pathlib import Path

import psutil

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "service"))
from live import start

CONNECTIONS, CLIENTS = 16, 64
SETTLED_S = 10.0
ORDER = {
    "title": "load",
    "blank": {"outline": "straight-sided"},
    "sitter": [{"body": {"stature_mm": 1700, "mass_kg": 70}}],
}


def say(words: str) -> None:
    """Print a line."""
    sys.stdout.write(words + "\n")


@dataclass
class Tally:
    """What came of the requests of one part."""

    seconds: list[float] = field(default_factory=list)
    done_seconds: list[float] = field(default_factory=list)
    statuses: dict[int, int] = field(default_factory=dict)
    wrong: int = 0

    def add(self, status: int, seconds: float) -> None:
        """Count one answer."""
        self.seconds.append(seconds)
        if status in (200, 201):
            self.done_seconds.append(seconds)
        self.statuses[status] = self.statuses.get(status, 0) + 1

    def words(self, took: float) -> str:
        """Return rate, statuses and quantiles."""
        ordered = sorted(self.done_seconds)
        middle, most = (1000 * ordered[int(share * (len(ordered) - 1))] for share in (0.5, 0.95))
        return (
            f"{len(self.seconds) / took:.0f} requests/s, {self.statuses}, wrong {self.wrong}, "
            f"of those answered median {middle:.1f} ms, p95 {most:.1f} ms"
        )


class Connection:
    """One kept-alive HTTP/1.1 connection, no more than is needed here, so that the asking costs little."""

    def __init__(self, port: int) -> None:
        self._port = port
        self._ends: tuple[asyncio.StreamReader, asyncio.StreamWriter] | None = None

    async def ask(self, path: str, body: bytes | None = None) -> tuple[int, bytes]:
        """Return status and body of an answer."""
        if self._ends is None:
            self._ends = await asyncio.open_connection("127.0.0.1", self._port, limit=2**22)
        reader, writer = self._ends
        head = f"{'POST' if body else 'GET'} {path} HTTP/1.1\r\nHost: localhost\r\n"
        if body:
            head += f"Content-Type: application/json\r\nContent-Length: {len(body)}\r\n"
        writer.write(head.encode() + b"\r\n" + (body or b""))
        lines = (await reader.readuntil(b"\r\n\r\n")).decode("latin-1").lower().split("\r\n")
        length = next(int(line.split(":")[1]) for line in lines if line.startswith("content-length:"))
        return int(lines[0].split()[1]), await reader.readexactly(length)

    def close(self) -> None:
        """Close it."""
        if self._ends is not None:
            self._ends[1].close()


async def download(port: int, path: str, right: bytes, until: float, tally: Tally) -> None:
    """Fetch the same file again and again."""
    connection = Connection(port)
    while (now := time.perf_counter()) < until:
        status, data = await connection.ask(path)
        tally.add(status, time.perf_counter() - now)
        tally.wrong += data != right
    connection.close()


async def order_and_read(port: int, seed: int, until: float, tally: Tally, seats: dict[str, bytes]) -> None:
    """Post orders of one's own, retry on 503, and read each seat back."""
    random_ = random.Random(seed)
    connection, number = Connection(port), 0
    while time.perf_counter() < until:
        number += 1
        depth = round(random_.uniform(8, 18), 3)
        order = json.dumps(ORDER | {"title": f"load {seed} {number}", "wishes": {"depth_mm": depth}}).encode()
        while True:
            now = time.perf_counter()
            status, data = await connection.ask("/seats", order)
            tally.add(status, time.perf_counter() - now)
            if status != 503:
                break
            await asyncio.sleep(random_.uniform(0.5, 2.0))
        answer = json.loads(data)
        deepest = answer.get("hollow", {}).get("deepest_mm", -1.0)
        tally.wrong += (
            status != 201 or answer["title"] != f"load {seed} {number}" or abs(deepest - depth) > 0.02
        )
        if status == 201:
            seats[answer["id"]] = data
            again = await connection.ask(f"/seats/{answer['id']}")
            tally.wrong += again != (200, data)
    connection.close()


async def memory(process: psutil.Process, until: float, sizes: list[tuple[float, float]]) -> None:
    """Note the resident memory of the service and all its processes, shared pages once, MB, every second."""
    began = time.perf_counter()
    while time.perf_counter() < until:
        total = 0
        for one in (process, *process.children(recursive=True)):
            try:
                total += one.memory_full_info().pss
            except psutil.Error:
                continue
        sizes.append((time.perf_counter() - began, total / 1e6))
        await asyncio.sleep(1.0)


async def part_one(port: int, seconds: float) -> None:
    """Warm downloads."""
    connection = Connection(port)
    _, data = await connection.ask("/seats", json.dumps(ORDER | {"wishes": {"depth_mm": 12}}).encode())
    path = f"/seats/{json.loads(data)['id']}/mesh.stl?tolerance_mm=0.05"
    _, right = await connection.ask(path)
    tally, until = Tally(), time.perf_counter() + seconds
    await asyncio.gather(*(download(port, path, right, until, tally) for _ in range(CONNECTIONS)))
    say(f"warm downloads of {len(right) / 1e6:.2f} MB, {CONNECTIONS} connections: {tally.words(seconds)}")
    assert set(tally.statuses) == {200}
    assert tally.wrong == 0


async def part_two(port: int, process: psutil.Process, seconds: float) -> None:
    """Different orders."""
    tally, seats, sizes = Tally(), dict[str, bytes](), list[tuple[float, float]]()
    until = time.perf_counter() + seconds
    await asyncio.gather(
        memory(process, until, sizes),
        *(order_and_read(port, seed, until, tally, seats) for seed in range(CLIENTS)),
    )
    settled = next(size for at, size in sizes if at >= min(SETTLED_S, 0.3 * seconds))
    last = sizes[-1][1]
    say(f"{CLIENTS} clients with orders of their own, {len(seats)} seats: {tally.words(seconds)}")
    say(
        f"memory of all processes: {settled:.0f} MB settled, {last:.0f} MB at the end ({last / settled - 1:+.0%})"
    )
    connection = Connection(port)
    lost = [seat for seat, data in seats.items() if await connection.ask(f"/seats/{seat}") != (200, data)]
    say(f"seats lost: {len(lost)}")
    assert set(tally.statuses) <= {201, 503}
    assert (tally.wrong, lost) == (0, [])
    assert last < 1.2 * settled


def main(seconds: float) -> None:
    """Run both parts against a service of its own."""
    with tempfile.TemporaryDirectory() as folder:
        process, address = start(Path(folder))
        port = int(address.rpartition(":")[2])
        try:
            asyncio.run(part_one(port, seconds))
            asyncio.run(part_two(port, psutil.Process(process.pid), seconds))
        finally:
            process.terminate()
            process.wait(20)


if __name__ == "__main__":
    main(float(sys.argv[1]) if len(sys.argv) > 1 else 60.0)
