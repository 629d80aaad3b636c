"""The index of the store: an embedded database of seats, files made of them, and jobs, shared by several processes.

SQLite with a write-ahead log: a process that is killed in the middle of anything leaves it whole, readers wait for no
writer, and several services may have one folder. Every change is one transaction.
"""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

from .seat_folders import is_file

NAME = "index.sqlite"
NAMES = (NAME, f"{NAME}-wal", f"{NAME}-shm")
"""The database and the files that its log needs."""
PATIENCE_S = 20.0
"""Seconds to wait while another process writes."""
LOG_PAGES = 32
"""Pages of 4 kB that the log may have before they go into the database: on a small or full disk it takes no more."""
TABLES = """
CREATE TABLE IF NOT EXISTS seats (
    id TEXT PRIMARY KEY, title TEXT NOT NULL, size INTEGER NOT NULL, made REAL NOT NULL, used REAL NOT NULL,
    pinned INTEGER NOT NULL DEFAULT 0);
CREATE TABLE IF NOT EXISTS files (
    seat TEXT NOT NULL REFERENCES seats (id) ON DELETE CASCADE, name TEXT NOT NULL, content TEXT NOT NULL,
    packed TEXT, size INTEGER NOT NULL, used REAL NOT NULL, PRIMARY KEY (seat, name)) WITHOUT ROWID;
CREATE INDEX IF NOT EXISTS files_by_content ON files (content);
CREATE INDEX IF NOT EXISTS files_by_packed ON files (packed);
CREATE TABLE IF NOT EXISTS batches (id TEXT PRIMARY KEY, rows TEXT NOT NULL, made REAL NOT NULL);
CREATE TABLE IF NOT EXISTS jobs (
    id TEXT PRIMARY KEY, work TEXT NOT NULL, state TEXT NOT NULL, words TEXT NOT NULL, share REAL,
    result TEXT NOT NULL, problem TEXT, caller TEXT NOT NULL, created REAL NOT NULL, changed REAL NOT NULL,
    owner TEXT NOT NULL, alive REAL NOT NULL);
CREATE INDEX IF NOT EXISTS jobs_by_state ON jobs (state);
"""


class DamagedIndexError(Exception):
    """The database cannot be read, and will not be another time."""


class UnreachableIndexError(Exception):
    """The database cannot be reached now: another process writes, the disk is full, or this process may not."""


_PASSING = (
    sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED, sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR, sqlite3.SQLITE_CANTOPEN,
    sqlite3.SQLITE_READONLY, sqlite3.SQLITE_PERM, sqlite3.SQLITE_NOMEM,
)  # fmt: skip
"""What says nothing of the database itself, so that it is never taken away for it."""
_PRIMARY = 0xFF
"""The bits of an extended result code that are the code itself."""


class Index:
    """The database of one folder, for any thread of this process."""

    def __init__(self, folder: Path) -> None:
        self.path = folder / NAME
        self._lock = threading.RLock()
        try:
            self._base = self._opened()
        except sqlite3.DatabaseError as error:
            # Python's own words for a damaged one have no code.
            if getattr(error, "sqlite_errorcode", 0) & _PRIMARY in _PASSING:
                raise UnreachableIndexError(str(error)) from error
            raise DamagedIndexError(str(error)) from error

    def _opened(self) -> sqlite3.Connection:
        base = sqlite3.connect(self.path, timeout=PATIENCE_S, isolation_level=None, check_same_thread=False)
        try:
            base.row_factory = sqlite3.Row
            base.execute("PRAGMA journal_mode = WAL")
            base.execute("PRAGMA synchronous = NORMAL")
            base.execute("PRAGMA foreign_keys = ON")
            base.execute(f"PRAGMA wal_autocheckpoint = {LOG_PAGES}")
            if base.execute("PRAGMA quick_check").fetchone()[0] != "ok":
                raise sqlite3.DatabaseError("it is damaged")
            base.executescript(TABLES)
        except BaseException:
            base.close()
            raise
        return base

    def rows(self, question: str, given: Sequence[Any] = ()) -> list[sqlite3.Row]:
        """Return what a question finds."""
        with self._lock:
            return self._base.execute(question, tuple(given)).fetchall()

    def row(self, question: str, given: Sequence[Any] = ()) -> sqlite3.Row | None:
        """Return the first row that a question finds, if any."""
        with self._lock:
            found: sqlite3.Row | None = self._base.execute(question, tuple(given)).fetchone()
            return found

    @contextmanager
    def change(self) -> Iterator[sqlite3.Connection]:
        """Lend the database for one change, made as a whole or not at all; others wait until it is over."""
        with self._lock:
            if self._base.in_transaction:
                yield self._base
                return
            self._base.execute("BEGIN IMMEDIATE")
            try:
                yield self._base
                self._base.execute("COMMIT")
            except BaseException:
                with suppress(sqlite3.Error):
                    self._base.execute("ROLLBACK")
                raise

    def close(self) -> None:
        """Close it; what was written stays."""
        with self._lock:
            self._base.close()


def take_away_index(folder: Path) -> None:
    """Take away a database that cannot be read, and its log."""
    for name in NAMES:
        if is_file(folder / name):
            (folder / name).unlink(missing_ok=True)
