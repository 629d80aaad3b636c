"""Workers of Dask: processes of this machine, or whatever a scheduler has. Dask gives a lost worker's part to another.

Workers may come and go at any time: how many parts are in hand follows how many threads there are.
"""

from __future__ import annotations

import contextlib
import logging
import threading
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

import seatmesh
from seatmesh.errors import FileRefusedError, NotSolvedError, ValueRefusedError
from seatmesh.people.engine.part_work import PartWork
from seatmesh.people.engine.run import AHEAD, Keep, Stop, Stopped
from seatmesh.units import shown

CONNECT_S = 10.0
LOOK_S = 0.5
"""How often it is looked whether workers came, went or the user wants to stop, s."""
MOST_LOSSES = 10
"""How many times one part may be lost with its workers before it is taken to be what kills them."""
MOST_WORKERS = 256


@dataclass(frozen=True)
class WorkerProcesses:
    """Worker processes of this machine, one thread each, gone afterwards."""

    count: int

    def __post_init__(self) -> None:
        if not 1 <= self.count <= MOST_WORKERS:
            raise ValueRefusedError(
                "workers", self.count, f"allowed are 1 to {MOST_WORKERS}", "one for each processor is usual"
            )

    def run(self, work: PartWork, parts: Iterable[tuple[int, int]], keep: Keep, stop: Stop) -> None:
        """See `seatmesh.people.engine.run.PartWorkers`."""
        distributed = _distributed()
        with (
            distributed.LocalCluster(
                n_workers=self.count,
                threads_per_worker=1,
                dashboard_address=None,
                host="127.0.0.1",
                silence_logs=logging.ERROR,
            ) as cluster,
            distributed.Client(cluster, set_as_default=False) as client,
        ):
            _hand_out(client, work, parts, keep, stop)


@dataclass(frozen=True)
class Scheduler:
    """The workers of a Dask scheduler, such as tcp://10.0.0.5:8786; it stays up."""

    address: str

    def run(self, work: PartWork, parts: Iterable[tuple[int, int]], keep: Keep, stop: Stop) -> None:
        """See `seatmesh.people.engine.run.PartWorkers`; ValueRefusedError where no scheduler answers."""
        with self._client() as client:
            versions = set(client.run(version).values())
            if versions - {seatmesh.__version__}:
                raise ValueRefusedError(
                    "--scheduler", shown(self.address), f"its workers have seatmesh {', '.join(sorted(versions))}",
                    f"install seatmesh {seatmesh.__version__} on every machine of the cluster",
                )  # fmt: skip
            _hand_out(client, work, parts, keep, stop)

    @contextlib.contextmanager
    def _client(self) -> Iterator[Any]:
        client_type = _distributed().Client
        try:
            client = client_type(self.address, timeout=CONNECT_S, set_as_default=False)
        except (OSError, TimeoutError, ValueError) as error:
            raise ValueRefusedError(
                "--scheduler", shown(self.address), "no Dask scheduler answers there",
                "start one with: dask scheduler, and workers with: dask worker ADDRESS --nthreads 1",
            ) from error  # fmt: skip
        try:
            yield client
        finally:
            client.close()


def version() -> str:
    """Return the version of seatmesh on a worker."""
    return seatmesh.__version__


def _distributed() -> Any:
    try:
        import distributed  # noqa: PLC0415 - an extra
    except ImportError as error:
        raise FileRefusedError(
            "workers need Dask; install it with pip install '.[people]' where the source is, or leave them out"
        ) from error
    return distributed


def _hand_out(client: Any, work: PartWork, parts: Iterable[tuple[int, int]], keep: Keep, stop: Stop) -> None:
    """Keep every worker supplied, and hand over what ends, until all parts are done."""
    distributed = _distributed()
    left = iter(parts)
    again: list[tuple[int, int]] = []
    lost: dict[int, int] = {}
    pending: dict[Any, tuple[int, int]] = {}
    something_ended = threading.Event()
    try:
        while True:
            threads = max(1, sum(client.nthreads().values()))
            while len(pending) < AHEAD * threads:
                given = again.pop() if again else next(left, None)
                if given is None:
                    break
                # The work goes with each part: what is scattered once is lost with the worker that holds it.
                future = client.submit(work, *given, pure=False)
                future.add_done_callback(lambda _: something_ended.set())
                pending[future] = given
            if not pending:
                return
            something_ended.wait(LOOK_S)
            something_ended.clear()
            for future in [one for one in pending if one.done()]:
                given = pending.pop(future)
                try:
                    keep(given[0], future.result())
                except (distributed.KilledWorker, distributed.CancelledError):
                    lost[given[0]] = lost.get(given[0], 0) + 1
                    if lost[given[0]] >= MOST_LOSSES:
                        raise NotSolvedError(
                            f"part {given[0]} was lost with its workers {MOST_LOSSES} times; give them more memory, "
                            "then start the command again: finished parts are kept"
                        ) from None
                    again.append(given)
                future.release()
            if stop():
                raise Stopped
    finally:
        for future in pending:
            with contextlib.suppress(Exception):
                future.cancel()
