"""Jobs in the index: they outlive the service that works on them, and any service of the folder tells of them."""

from __future__ import annotations

import json
import secrets
import sqlite3
import time
from dataclasses import dataclass
from typing import Any

from ..keeping.index import Index
from .work import Work

QUEUED, WORKING, DONE, FAILED, CANCELLED = "queued", "working", "done", "failed", "cancelled"
WAITS = "waits for its turn"
UNDER_WAY = (QUEUED, WORKING)
LEASE_S = 15.0
"""Seconds after which a job is taken over whose service has said nothing of it."""
TOLD = (
    "id, state, words, share, result, problem, caller, created, changed, owner, "
    "json_set(work, '$.given', json('[]')) AS work"
)
"""What is read of a job that is told: not what it is made of, which may be as large as a request."""
KEPT_S, MOST_KEPT = 86_400.0, 2000
"""How long, and how many, jobs that have ended are told of."""


@dataclass(frozen=True)
class LongJob:
    """A job as it is told."""

    id: str
    work: Work
    state: str
    words: str
    share: float | None
    result: str
    problem: dict[str, Any] | None
    caller: str
    created: float
    changed: float
    owner: str

    @property
    def has_ended(self) -> bool:
        """Tell whether nothing more comes of it."""
        return self.state not in UNDER_WAY


class JobRows:
    """The jobs of a folder; `owner` is this process, one of those that share it."""

    def __init__(self, index: Index) -> None:
        self._index = index
        self.owner = secrets.token_hex(8)

    def add(self, work: Work, result: str, caller: str) -> LongJob:
        """Write a job of this process down; one for the same work that is under way stays as it is."""
        now = time.time()
        with self._index.change() as base:
            base.execute("DELETE FROM jobs WHERE id = ? AND state NOT IN ('queued', 'working')", (work.id,))
            base.execute(
                "INSERT OR IGNORE INTO jobs VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
                (work.id, work.text(), QUEUED, WAITS, None, result, None, caller, now, now, self.owner, now),
            )
            self._prune(base, now)
        found = self.job(work.id)
        assert found is not None
        return found

    def elsewhere(self, work: Work) -> LongJob | None:
        """Return the job for some work that another process has under way."""
        job = self.job(work.id)
        return job if job and not job.has_ended and job.owner != self.owner else None

    @staticmethod
    def _prune(base: sqlite3.Connection, now: float) -> None:
        ended = "state NOT IN ('queued', 'working')"
        base.execute(f"DELETE FROM jobs WHERE {ended} AND changed < ?", (now - KEPT_S,))
        base.execute(
            f"DELETE FROM jobs WHERE {ended} AND id NOT IN "
            f"(SELECT id FROM jobs WHERE {ended} ORDER BY changed DESC LIMIT ?)", (MOST_KEPT,)
        )  # fmt: skip

    def job(self, job: str) -> LongJob | None:
        """Return a job by its id, without what its work is given."""
        row = self._index.row(f"SELECT {TOLD} FROM jobs WHERE id = ?", (job,))
        return None if row is None else _job(row)

    def tell(self, job: str, words: str, share: float | None) -> None:
        """Say how far a job is; one that has ended stays as it is."""
        now = time.time()
        self._change(
            "state = 'working', words = ?, share = ?, changed = ?, alive = ?", (words, share, now, now), job
        )

    def end(self, job: str, state: str, words: str, problem: dict[str, Any] | None = None) -> None:
        """Say that a job has ended; one that has ended before stays as it is."""
        share = 1.0 if state == DONE else None
        told = None if problem is None else json.dumps(problem)
        self._change(
            # What it was made of is needed no more, and may be as large as a request.
            "state = ?, words = ?, share = ?, problem = ?, changed = ?, work = json_set(work, '$.given', json('[]'))",
            (state, words, share, told, time.time()),
            job,
        )

    def _change(self, what: str, values: tuple[Any, ...], job: str) -> None:
        with self._index.change() as base:
            base.execute(
                f"UPDATE jobs SET {what} WHERE id = ? AND state IN ('queued', 'working')", (*values, job)
            )

    def keep_alive(self, jobs: list[str]) -> list[str]:
        """Say that this process has some jobs still; return those of them that are under way no more."""
        if not jobs:
            return []
        now = time.time()
        with self._index.change() as base:
            base.executemany("UPDATE jobs SET alive = ? WHERE id = ?", [(now, one) for one in jobs])
        marks = ",".join("?" * len(jobs))
        rows = self._index.rows(
            f"SELECT id FROM jobs WHERE id IN ({marks}) AND owner = ? AND state IN ('queued', 'working')",
            (*jobs, self.owner),
        )
        return sorted(set(jobs) - {row["id"] for row in rows})

    def take_over(self, *, all_of_others: bool = False) -> list[LongJob]:
        """Return jobs under way that nobody looks after any more, and have them; with `all_of_others` all of others."""
        limit = time.time() + 1.0 if all_of_others else time.time() - LEASE_S
        with self._index.change() as base:
            rows = base.execute(
                "SELECT * FROM jobs WHERE state IN ('queued', 'working') AND alive < ? ORDER BY created",
                (limit,),
            ).fetchall()
            base.executemany(
                "UPDATE jobs SET owner = ?, alive = ?, state = 'queued' WHERE id = ?",
                [(self.owner, time.time(), row["id"]) for row in rows],
            )
        return [_job(row) for row in rows]

    def count(self) -> dict[str, int]:
        """Return how many jobs there are in each state."""
        return {
            row["state"]: row["n"]
            for row in self._index.rows("SELECT state, count(*) AS n FROM jobs GROUP BY state")
        }


def _job(row: sqlite3.Row) -> LongJob:
    return LongJob(
        row["id"], Work.from_text(row["work"]), row["state"], row["words"], row["share"], row["result"],
        None if row["problem"] is None else json.loads(row["problem"]), row["caller"], row["created"], row["changed"],
        row["owner"],
    )  # fmt: skip
