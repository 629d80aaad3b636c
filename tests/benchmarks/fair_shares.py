"""Fair shares: 64 clients of a service, with and without one of them who orders seats for twelve sitters only.

Each client has an address of its own (127.0.0.2 and up), as people at machines of their own have. They slide a
wish and see a preview every 30 to 60 s; every fourth also orders a seat of its own, reads it and fetches its mesh,
about once a minute. Half of the time the heavy one orders nothing. Run by hand on an idle machine:
`python tests/benchmarks/fair_shares.py [SECONDS]`.
"""

from __future__ import annotations

import asyncio
import json
import random
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "service"))
from live import start

CLIENTS = 64
LOOK_S, ORDER_S = (30.0, 60.0), (45.0, 75.0)


def say(words: str) -> None:
    """Print a line."""
    sys.stdout.write(words + "\n")
    sys.stdout.flush()


def order(title: str, depth: float, sitters: int = 1) -> bytes:
    """Return an order that is like no other."""
    who = [
        {"name": f"{one}", "body": {"stature_mm": 1560 + 30 * one, "mass_kg": 55 + 4 * one}}
        for one in range(sitters)
    ]
    return json.dumps({"title": title, "sitter": who, "wishes": {"depth_mm": depth}}).encode()


class Caller:
    """One client at an address of its own."""

    def __init__(self, port: int, number: int) -> None:
        self._port, self._address = port, f"127.0.0.{2 + number}"

    async def ask(self, path: str, body: bytes | None = None, prefer: str = "wait=120") -> tuple[int, bytes]:
        """Return status and body of an answer, over a connection of its own."""
        reader, writer = await asyncio.open_connection(
            "127.0.0.1", self._port, limit=2**24, local_addr=(self._address, 0)
        )
        try:
            head = f"{'POST' if body else 'GET'} {path} HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n"
            head += f"Prefer: {prefer}\r\n"
            if body:
                head += f"Content-Type: application/json\r\nContent-Length: {len(body)}\r\n"
            writer.write(head.encode() + b"\r\n" + (body or b""))
            data = await reader.read(-1)
        finally:
            writer.close()
        first, _, rest = data.partition(b"\r\n\r\n")
        return int(first.split()[1]), rest


Times = dict[str, list[float]]


async def timed(times: Times, what: str, asked: Caller, path: str, body: bytes | None = None) -> bytes:
    """Ask, and note how long it took; anything but success ends the run."""
    began = time.perf_counter()
    status, data = await asked.ask(path, body)
    times.setdefault(what, []).append(time.perf_counter() - began)
    if status not in (200, 201):
        raise RuntimeError(f"{what}: {status} {data[:200]!r}")
    return data


async def look(caller: Caller, seed: int, until: float, times: Times) -> None:
    """Slide a wish now and then."""
    chance = random.Random(seed)
    await asyncio.sleep(chance.uniform(0.0, LOOK_S[1]))
    while time.perf_counter() < until:
        await timed(
            times, "preview", caller, "/seats/previews", order("look", round(chance.uniform(8, 18), 3))
        )
        await asyncio.sleep(chance.uniform(*LOOK_S))


async def make(caller: Caller, seed: int, until: float, times: Times) -> None:
    """Order a seat about once a minute, read it, and fetch its mesh."""
    chance = random.Random(1000 + seed)
    await asyncio.sleep(chance.uniform(0.0, ORDER_S[0]))
    while time.perf_counter() < until:
        depth = round(chance.uniform(8, 18), 4)
        seat = json.loads(
            await timed(times, "seat", caller, "/seats", order(f"{seed} {time.time()}", depth))
        )["id"]
        await timed(times, "read", caller, f"/seats/{seat}")
        await timed(times, "mesh", caller, f"/seats/{seat}/mesh.stl?tolerance_mm=0.2")
        await asyncio.sleep(chance.uniform(*ORDER_S))


async def weigh(caller: Caller, until: float, done: list[int]) -> None:
    """Order seats for twelve sitters, two at a time, one after the other."""
    number = 0
    while time.perf_counter() < until:
        jobs = []
        for _ in range(2):
            number += 1
            _, data = await caller.ask(
                "/seats", order(f"heavy {number} {time.time()}", 12.0, 12), "respond-async"
            )
            jobs.append(json.loads(data)["id"])
        while jobs and time.perf_counter() < until:
            await asyncio.sleep(1.0)
            states = {one: json.loads((await caller.ask(f"/jobs/{one}"))[1])["state"] for one in jobs}
            done[0] += sum(state == "done" for state in states.values())
            jobs = [one for one, state in states.items() if state in ("queued", "working")]


def quantile(values: list[float], share: float) -> float:
    """Return a quantile."""
    return sorted(values)[int(share * (len(values) - 1))]


async def run(port: int, seconds: float, *, heavy: bool) -> Times:
    """Let all clients work, and return the times by what was asked."""
    times: Times = {}
    done = [0]
    until = time.perf_counter() + seconds
    callers = [Caller(port, number) for number in range(CLIENTS)]
    tasks = [look(one, seed, until, times) for seed, one in enumerate(callers[:-1])]
    tasks += [make(one, seed, until, times) for seed, one in enumerate(callers[:-1]) if seed % 4 == 0]
    if heavy:
        tasks.append(weigh(callers[-1], until, done))
    await asyncio.gather(*tasks)
    for what, values in sorted(times.items()):
        say(
            f"  {what}: {len(values)}, median {1000 * quantile(values, 0.5):.0f} ms, "
            f"p95 {1000 * quantile(values, 0.95):.0f} ms"
        )
    if heavy:
        say(f"  seats for twelve that were done meanwhile: {done[0]}")
    return times


def main(seconds: float) -> None:
    """Run both against services of their own."""
    told = []
    for heavy in (False, True):
        with tempfile.TemporaryDirectory() as folder:
            process, address = start(Path(folder) / "kept")
            try:
                say(f"{CLIENTS} clients for {seconds:g} s, {'one of them heavy' if heavy else 'none heavy'}")
                told.append(asyncio.run(run(int(address.rpartition(":")[2]), seconds, heavy=heavy)))
            finally:
                process.terminate()
                process.wait(20)
    for what in told[0]:
        without, beside = (quantile(one[what], 0.95) for one in told)
        say(f"p95 of {what}: {beside / without:.2f} times that without the heavy one")


if __name__ == "__main__":
    main(float(sys.argv[1]) if len(sys.argv) > 1 else 60.0)
