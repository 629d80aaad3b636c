"""Workers: bounded in number, time and memory; lost ones are replaced, and work nobody waits for is ended."""

import asyncio
import importlib
import os
import signal
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import psutil
import pytest
from seatmesh_service.limits import ServiceLimits
from seatmesh_service.problems import ProblemError
from seatmesh_service.workers.embedded import EmbeddedWorkers
from seatmesh_service.workers.lane import Lane

sys.path.insert(0, str(Path(__file__).parent))  # A new process looks for the chores where this one does.
chores = importlib.import_module("worker_chores")
LIMITS = ServiceLimits(workers=2, queue=1, work_s=20.0, worker_memory_mb=2000)


class Front:
    """A lane for one caller."""

    def __init__(self, workers, limits):
        self.workers, self.limits = workers, limits
        self.lane = Lane(workers, limits.queue, limits.queue)

    async def run(self, work, *given, **named):
        return await self.lane.run("me", self.limits.work_s, work, *given, **named)

    @property
    def pids(self):
        return self.workers.pids


def with_workers(folder, scene, limits=LIMITS):
    async def run():
        workers = EmbeddedWorkers(limits, folder, limits.workers)
        await workers.start()
        try:
            return await asyncio.wait_for(scene(Front(workers, limits)), 60)
        finally:
            await workers.end()

    return awaited(run)


def awaited(run):
    """Run a coroutine to its end in a thread of its own: a browser under test keeps a loop running in the main one."""
    with ThreadPoolExecutor(1) as thread:
        return thread.submit(lambda: asyncio.run(run())).result()


def gone(pid):
    return not psutil.pid_exists(pid) or psutil.Process(pid).status() == psutil.STATUS_ZOMBIE


async def until(what):
    for _ in range(200):
        if what():
            return
        await asyncio.sleep(0.05)
    raise AssertionError("it did not happen")


def test_a_lost_worker_is_replaced_and_its_work_done_again(tmp_path):
    async def scene(workers):
        return await workers.run(chores.die_unless, str(tmp_path / "mark"))

    assert with_workers(tmp_path, scene) == "done"


def test_work_lost_twice_is_refused_and_the_workers_go_on(tmp_path):
    async def scene(workers):
        with pytest.raises(ProblemError) as refused:
            await workers.run(chores.die)
        return refused.value, await workers.run(chores.nap, 0)

    refused, pid = with_workers(tmp_path, scene)
    assert (refused.status, bool(refused.headers["Retry-After"])) == (503, True)
    assert pid


def test_an_idle_worker_that_is_killed_is_no_matter(tmp_path):
    async def scene(workers):
        for _ in range(3):
            for pid in workers.pids:
                os.kill(pid, signal.SIGKILL)
            await asyncio.gather(workers.run(chores.nap, 0), workers.run(chores.nap, 0))
        return True

    assert with_workers(tmp_path, scene)


def test_work_out_of_time_is_really_ended(tmp_path):
    async def scene(workers):
        before = set(workers.pids)
        with pytest.raises(ProblemError) as refused:
            await workers.run(chores.nap, 50)
        await until(lambda: any(gone(pid) for pid in before))
        return refused.value, await workers.run(chores.nap, 0)

    started = time.monotonic()
    refused, _ = with_workers(tmp_path, scene, ServiceLimits(workers=1, work_s=1.0))
    assert refused.status == 503
    assert "1 s" in refused.detail
    assert time.monotonic() - started < 30


def test_work_nobody_waits_for_is_really_ended(tmp_path):
    async def scene(workers):
        (before,) = workers.pids
        work = asyncio.create_task(workers.run(chores.nap, 50, str(tmp_path / "begun")))
        await until((tmp_path / "begun").exists)
        work.cancel()
        await until(lambda: gone(before))
        return await workers.run(chores.nap, 0) != before

    assert with_workers(tmp_path, scene, ServiceLimits(workers=1))


def test_a_full_queue_is_said_at_once(tmp_path):
    async def scene(workers):
        doing = [asyncio.create_task(workers.run(chores.nap, 0.8)) for _ in range(3)]
        await asyncio.sleep(0.1)
        started = time.monotonic()
        with pytest.raises(ProblemError) as refused:
            await workers.run(chores.nap, 0)
        assert time.monotonic() - started < 0.5
        done = await asyncio.gather(*doing)
        return refused.value, done, await workers.run(chores.nap, 0)

    refused, done, _ = with_workers(tmp_path, scene)
    assert refused.status == 503
    assert 1 <= int(refused.headers["Retry-After"]) <= 5
    assert len(set(done)) == 2


def test_memory_is_bounded(tmp_path):
    async def scene(workers):
        with pytest.raises(ProblemError) as refused:
            await workers.run(chores.grow, 3000)
        return await workers.run(chores.grow, 1), refused.value

    small, large = with_workers(tmp_path, scene)
    assert small == 125_000
    assert (large.status, "memory" in large.title) == (422, True)


def test_what_fails_in_a_worker_comes_back_without_its_inside(tmp_path):
    async def scene(workers):
        with pytest.raises(ProblemError) as refused:
            await workers.run(chores.fail)
        return refused.value

    outcome = with_workers(tmp_path, scene)
    assert outcome.status == 500
    assert "ZeroDivisionError" not in outcome.detail


def test_all_workers_end_with_the_service(tmp_path):
    async def scene(workers):
        return workers.pids

    pids = with_workers(tmp_path, scene)
    assert len(pids) == 2
    awaited(lambda: until(lambda: all(gone(pid) for pid in pids)))


def test_steps_of_the_work_reach_whoever_follows_it(tmp_path):
    told = []

    async def scene(workers):
        return await workers.run(chores.take_steps, 3, tell=lambda *step: told.append(step))

    assert with_workers(tmp_path, scene) == "done"
    assert told == [("begins", 0.0), ("step 0", 0.0), ("step 1", 1 / 3), ("step 2", 2 / 3)]


def test_a_worker_that_was_told_of_nobody_sends_its_steps_nowhere(tmp_path):
    async def scene(workers):
        first = await workers.run(chores.take_steps, 3000)
        return first, await workers.run(chores.take_steps, 1)

    assert with_workers(tmp_path, scene, ServiceLimits(workers=1)) == ("done", "done")


@pytest.mark.skipif(sys.platform == "win32", reason="workers are not forked there")
def test_what_workers_are_forked_from_is_begun_anew_when_it_is_killed(tmp_path):
    async def scene(workers):
        for _ in range(3):
            before = workers.pids
            forked_from = [
                one
                for one in psutil.Process().children()
                if one.status() != psutil.STATUS_ZOMBIE and "forkserver" in " ".join(one.cmdline())
            ]
            for pid in (*before, *(one.pid for one in forked_from)):
                os.kill(pid, signal.SIGKILL)
            again = await asyncio.gather(workers.run(chores.nap, 0), workers.run(chores.nap, 0))
            assert not set(again) & set(before)
        return True

    assert with_workers(tmp_path, scene)


@pytest.mark.skipif(sys.platform == "win32", reason="there is no niceness there")
def test_long_work_stands_back_and_its_worker_is_not_used_again(tmp_path, monkeypatch):
    monkeypatch.setattr("seatmesh_service.workers.turns.LONG_S", 0.3)

    async def run():
        workers = EmbeddedWorkers(LIMITS, tmp_path, 1, niceness=3)
        await workers.start()
        try:
            quick = await workers.run(None, 20, chores.niceness_after, 0.0)
            slow = await workers.run(None, 20, chores.niceness_after, 1.0)
            return quick, slow, await workers.run(None, 20, chores.niceness_after, 0.0)
        finally:
            await workers.end()

    quick, slow, again = awaited(run)
    assert [one[1] for one in (quick, slow, again)] == [3, 15, 3]
    assert quick[0] == slow[0] != again[0]
