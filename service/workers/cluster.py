"""Workers of a cluster: the same tasks on machines that a Dask scheduler knows.

Dask is kept well, and its scheduler gives the work of a worker that is lost to another one by itself.
"""

from __future__ import annotations

import asyncio
import contextlib
import secrets
from collections.abc import Callable
from typing import Any

import seatmesh
from seatmesh.errors import FileRefusedError, ValueRefusedError
from seatmesh.units import shown

from .lane import NoWorkersError, WorkerLostError
from .progress import Told, telling

STEPS = "seatmesh steps"
"""The topic under which workers tell how far they are."""
CONNECT_S = 10.0
UP = "running"
"""What Dask says of a client that has its scheduler."""


class ClusterWorkers:
    """The workers of a Dask cluster; how many there are may change at any time.

    Parameters
    ----------
    address
        Where its scheduler listens, such as tcp://10.0.0.5:8786.

    Raises
    ------
    FileRefusedError
        Dask is not installed here.
    """

    def __init__(self, address: str) -> None:
        try:
            import distributed.client  # noqa: PLC0415 - an extra
        except ImportError as error:
            raise FileRefusedError(
                "a cluster needs Dask; install it with pip install '.[cluster]' where the source is"
            ) from error
        self._address = address
        # Its methods have no types.
        self._client: Any = None
        self._told: dict[str, Told] = {}
        self._connecting = asyncio.Lock()
        self._closed: type[Exception] = distributed.client.ClosedClientError
        self.slots, self._is_empty = 1, False

    async def start(self) -> None:
        """Connect to the scheduler.

        Raises
        ------
        ValueRefusedError
            It does not answer, or a worker has another version of seatmesh.
        """
        import distributed  # noqa: PLC0415

        client_type: Any = distributed.Client
        try:
            self._client = client = await client_type(
                self._address, asynchronous=True, timeout=CONNECT_S, set_as_default=False
            )
        except (OSError, TimeoutError, ValueError) as error:
            raise ValueRefusedError(
                "--scheduler", shown(self._address), "no Dask scheduler answers there",
                "start one with: dask scheduler, and workers with: dask worker ADDRESS --nthreads 1",
            ) from error  # fmt: skip
        versions = set((await client.run(version)).values())
        if versions - {seatmesh.__version__}:
            raise ValueRefusedError(
                "--scheduler", shown(self._address), f"its workers have seatmesh {', '.join(sorted(versions))}",
                f"install seatmesh {seatmesh.__version__} on every machine of the cluster",
            )  # fmt: skip
        client.subscribe_topic(STEPS, self._hear)
        await self._count()

    async def _count(self) -> None:
        threads = await self._client.nthreads()
        self.slots, self._is_empty = max(1, sum(threads.values())), not threads

    def _hear(self, event: tuple[float, Any]) -> None:
        _, (key, words, share) = event
        tell = self._told.get(key)
        if tell is not None:
            tell(words, share)

    async def run(self, tell: Told | None, seconds: float, work: Callable[..., Any], *given: Any) -> Any:
        """Return what `work(*given)` returns on some worker; see `lane.Workers`.

        A scheduler that is lost is looked for again, and given the work once more.

        Raises
        ------
        NoWorkersError
            No scheduler answers any more, or it had no worker all the time.
        """
        for last in (False, True):
            client = await self._at_hand()
            try:
                return await self._run(client, tell, seconds, work, *given)
            except WorkerLostError:
                if last:
                    raise
            except (OSError, RuntimeError, self._closed) as error:
                # That the time is up is an error of this kind too.
                if isinstance(error, TimeoutError) and self._is_empty:
                    raise NoWorkersError from error
                if isinstance(error, TimeoutError) or client.status == UP:
                    raise
                if last:
                    raise NoWorkersError from error
        raise AssertionError("unreachable")

    async def _run(
        self, client: Any, tell: Told | None, seconds: float, work: Callable[..., Any], *given: Any
    ) -> Any:
        from distributed import CancelledError, KilledWorker  # noqa: PLC0415

        key = f"seatmesh-{secrets.token_hex(12)}"
        if tell is not None:
            self._told[key] = tell
        future = client.submit(on_a_worker, key, work, *given, key=key, pure=False)
        try:
            async with asyncio.timeout(seconds):
                return await future.result()
        except (KilledWorker, CancelledError) as error:
            raise WorkerLostError from error
        finally:
            self._told.pop(key, None)
            # Without a scheduler there is nothing to cancel, nor to count.
            with contextlib.suppress(Exception):
                async with asyncio.timeout(CONNECT_S):
                    if not future.done():
                        await future.cancel(force=True)
                    future.release()
                    await self._count()

    async def _at_hand(self) -> Any:
        """Return the client; one that lost its scheduler is replaced."""
        async with self._connecting:
            if self._client.status != UP:
                lost = self._client
                with contextlib.suppress(Exception):
                    await lost.close(CONNECT_S)
                try:
                    await self.start()
                except ValueRefusedError as error:
                    raise NoWorkersError from error
            return self._client

    async def end(self) -> None:
        """Leave the cluster; it stays up."""
        if self._client is not None:
            await self._client.close()
            self._client = None

    @property
    def pids(self) -> list[int]:
        """None: they are not of this service."""
        return []


def version() -> str:
    """Return the version of seatmesh on a worker."""
    return seatmesh.__version__


def on_a_worker(key: str, work: Callable[..., Any], *given: Any) -> Any:
    """Return what some work returns on a worker of a cluster; its steps are told to the cluster."""
    from distributed import get_worker  # noqa: PLC0415

    worker = get_worker()
    return telling(lambda words, share: worker.log_event(STEPS, (key, words, share)), work, *given)


async def _once(address: str) -> None:
    workers = ClusterWorkers(address)
    try:
        await workers.start()
    finally:
        await workers.end()


def cluster(address: str) -> ClusterWorkers:
    """Return the workers of a cluster that was asked once whether it is there; raises as `ClusterWorkers.start`."""
    asyncio.run(_once(address))
    return ClusterWorkers(address)
