"""Works: what a batch, a job and a full disk make of work that is refused, lost, or done in the moment it is asked
for."""

import asyncio
import errno
import json
import logging
import sqlite3
import zipfile

import pytest
from seatmesh_service.jobs.job_rows import DONE, FAILED, JobRows
from seatmesh_service.jobs.work import BATCH, SHAPE, Work
from seatmesh_service.jobs.works import StillWorkingError, Works
from seatmesh_service.keeping.archive import archive_of
from seatmesh_service.keeping.batches import batch_rows
from seatmesh_service.keeping.identity import seat_id
from seatmesh_service.keeping.seat_folders import ANSWER, ORDER, SEAT
from seatmesh_service.keeping.signed_names import GZ
from seatmesh_service.keeping.store import Store
from seatmesh_service.limits import ServiceLimits
from seatmesh_service.refusal import ProblemError
from seatmesh_service.workers.lane import Lane

CHAIRS = [{"title": f"chair {number}"} for number in range(3)]
FILES = [
    {"task": "mesh", "name": f"mesh.{suffix}", "given": [], "packed": False, "suffix": suffix}
    for suffix in ("stl", "obj")
]


class Bench:
    """Workers in this process: what they do with a seat or a file is a function of the test."""

    slots, pids = 2, ()

    def __init__(self):
        self.shape = self.make = None
        self.seconds = 0.0

    async def run(self, tell, seconds, telling, carry_out, task, *given):
        await asyncio.sleep(self.seconds)
        if task.__name__ == "shape":
            seat, order = given
            if self.shape is not None:
                self.shape(order)
            answer = f'{{"id":"{seat}"}}'.encode()
            return {ORDER: json.dumps(order).encode(), SEAT: b"{}", ANSWER: answer, ANSWER + GZ: b"z"}
        if self.make is not None:
            self.make(given[0])
        return b"file", None


def played(tmp_path, scene):
    async def run():
        store, bench = Store(tmp_path, 10**9), Bench()
        works = Works(store, Lane(bench, 99, 99), JobRows(store.index), ServiceLimits())
        try:
            return await scene(works, bench)
        finally:
            await works.end()
            store.close()

    return asyncio.run(run())


async def plainly(awaitable):
    return await awaitable


async def had(works, work, seconds=20.0, there=plainly):
    await works.have(work, "me", "/there", seconds, there)


def batch(files=()):
    return Work(BATCH, "b" * 32, given=(CHAIRS, list(files)))


@pytest.mark.parametrize("status", [503, 507, 404])
def test_what_is_refused_for_a_moment_is_tried_again_and_keeps_no_other_from_its_seat(tmp_path, status):
    async def scene(works, bench):
        def full(order):
            if order == CHAIRS[1]:
                raise ProblemError(status, "For now", "not now")

        bench.shape = full
        await had(works, batch())
        rows = batch_rows(works._store.index, "b" * 32)
        assert [row["refusal"] for row in rows] == [None, "not now", None]
        assert not works.has(batch())
        bench.shape = None
        await had(works, batch())
        rows = batch_rows(works._store.index, "b" * 32)
        assert [row["refusal"] for row in rows] == [None] * 3
        assert works.has(batch())

    played(tmp_path, scene)


def test_a_file_that_is_refused_keeps_neither_its_seat_back_nor_the_files_after_it(tmp_path):
    async def scene(works, bench):
        left = [1]

        def once(_pack):
            if left[0]:
                left[0] -= 1
                raise ProblemError(422, "Refused", "too fine")

        bench.make = once
        await had(works, Work(BATCH, "b" * 32, given=(CHAIRS[:1], FILES)))
        (row,) = batch_rows(works._store.index, "b" * 32)
        assert (row["refusal"], row["files"]) == ("stl: too fine", ["mesh.obj"])
        # It is refused for good: it is not tried again, unless the seat made room for others.
        assert works.has(batch())
        with archive_of(works._store, [row], tmp_path) as opened:
            archive = zipfile.ZipFile(opened)
            names = {name.partition("/")[2] for name in archive.namelist()}
            assert {"order.json", "seat.json", "figures.json", "chair-0.obj"} <= names
            assert archive.read("missing.txt").decode() == "1 chair 0: stl: too fine\n"
        works._store.drop(row["seat"])
        assert not works.has(batch())

    played(tmp_path, scene)


def test_a_disk_without_room_for_an_archive_is_not_told_as_missing_seats(tmp_path, monkeypatch):
    async def scene(works, _bench):
        await had(works, batch())
        rows = batch_rows(works._store.index, "b" * 32)

        def full(*_given):
            raise OSError(errno.ENOSPC, "No space left on device")

        monkeypatch.setattr("zipfile.ZipFile.writestr", full)
        with pytest.raises(OSError, match="No space"):
            archive_of(works._store, rows, tmp_path)

    played(tmp_path, scene)


def test_lines_of_a_title_do_not_make_lines_of_what_is_missing(tmp_path):
    async def scene(works, _bench):
        row = {"seat": "0" * 32, "title": "a\n2 other: no", "refusal": "no", "files": [], "made": False}
        with archive_of(works._store, [row], tmp_path) as opened:
            assert zipfile.ZipFile(opened).read("missing.txt") == b"1 a 2 other: no: no\n"

    played(tmp_path, scene)


def test_a_disk_that_is_full_while_steps_are_told_does_not_end_the_work(tmp_path, monkeypatch):
    async def scene(works, bench):
        def full(*_given):
            raise sqlite3.OperationalError("database or disk is full")

        bench.seconds = 0.2
        with monkeypatch.context() as patched:
            patched.setattr(works.rows, "tell", full)
            with pytest.raises(StillWorkingError):
                await had(works, batch(), 0.01)
            while works._all:
                await asyncio.sleep(0.02)
        assert works.rows.job("b" * 32).state == DONE
        assert works.has(batch())

    played(tmp_path, scene)


def with_files(works, number):
    works._store.put_seat("1" * 32, parts_of("1" * 32))
    for one in range(number):
        works._store.put_file("1" * 32, f"{one}.stl", bytes([one]), None)


def parts_of(seat):
    return {ORDER: b"{}", SEAT: b"{}", ANSWER: f'{{"id":"{seat}"}}'.encode(), ANSWER + GZ: b"z"}


def test_jobs_and_batches_are_written_down_on_a_full_disk_in_place_of_files(tmp_path, monkeypatch):
    async def scene(works, bench):
        with_files(works, 12)
        bench.seconds = 0.05
        monkeypatch.setattr(JobRows, "add", only_with_room(JobRows.add, works._store))
        with pytest.raises(StillWorkingError):
            await had(works, batch(), 0.0)
        while works._all:
            await asyncio.sleep(0.02)
        assert works.rows.job("b" * 32).state == DONE
        assert works._store.has("1" * 32)

    played(tmp_path, scene)


def only_with_room(write, store):
    def written(*given, **named):
        if len(store.index.rows("SELECT 1 FROM files")) > 4:
            raise sqlite3.OperationalError("database or disk is full")
        return write(*given, **named)

    return written


def test_a_disk_that_stays_full_is_said_and_keeps_no_service_from_its_start(tmp_path, monkeypatch):
    def full(*_given, **_named):
        raise sqlite3.OperationalError("database or disk is full")

    async def scene(works, bench):
        bench.seconds = 0.05
        with monkeypatch.context() as patched:
            patched.setattr(JobRows, "add", full)
            with pytest.raises(ProblemError) as refused:
                await had(works, batch(), 0.0)
            assert refused.value.status == 507
            patched.setattr(JobRows, "take_over", full)
            works.start(alone=True)
        assert works._keeper is not None

    played(tmp_path, scene)


def test_work_that_is_done_in_the_moment_its_time_is_up_becomes_no_job(tmp_path):
    async def scene(works, bench):
        bench.seconds = 0.1

        async def slow(awaitable):
            found = await awaitable
            await asyncio.sleep(0.5)
            return found

        await had(works, Work(SHAPE, seat_id(CHAIRS[0]), given=(CHAIRS[0],)), 0.01, slow)
        assert works.rows.job(seat_id(CHAIRS[0])) is None

    played(tmp_path, scene)


def test_a_job_that_fails_as_nobody_foresaw_is_written_to_the_log(tmp_path, monkeypatch, caplog):
    async def scene(works, bench):
        def fails(*_given):
            raise ZeroDivisionError("inside")

        bench.seconds = 0.05
        monkeypatch.setattr(works._store, "put_seat", fails)
        with pytest.raises(StillWorkingError):
            await had(works, Work(SHAPE, "0" * 32, given=(CHAIRS[0],)), 0.01)
        while works._all:
            await asyncio.sleep(0.02)
        job = works.rows.job("0" * 32)
        assert (job.state, job.problem["status"]) == (FAILED, 500)

    with caplog.at_level(logging.ERROR):
        played(tmp_path, scene)
    assert "ZeroDivisionError: inside" in caplog.text


def test_a_job_that_has_ended_keeps_no_large_order(tmp_path):
    async def scene(works, bench):
        def no(_order):
            raise ProblemError(422, "Refused", "no")

        bench.shape, bench.seconds = no, 0.05
        large = Work(SHAPE, "0" * 32, given=({"title": "x" * 100_000},))
        with pytest.raises(StillWorkingError) as told:
            await had(works, large, 0.0)
        assert told.value.job.work.seat == "0" * 32
        while works._all:
            await asyncio.sleep(0.02)
        kept = works._store.index.row("SELECT length(work) AS size FROM jobs")
        assert kept["size"] < 1000

    played(tmp_path, scene)


def test_a_job_that_is_taken_up_again_has_its_order_still(tmp_path):
    async def begun(works, bench):
        bench.seconds = 60
        with pytest.raises(StillWorkingError):
            await had(works, Work(SHAPE, "0" * 32, given=(CHAIRS[0],)), 0.0)

    async def taken_up(works, _bench):
        works.start(alone=True)
        while works._all:
            await asyncio.sleep(0.02)
        assert works.rows.job("0" * 32).state == DONE
        assert works._store.kept("0" * 32).order == CHAIRS[0]

    played(tmp_path, begun)
    played(tmp_path, taken_up)
