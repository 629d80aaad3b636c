"""Workers of a cluster: the same tasks on machines that a Dask scheduler knows.

Dask is kept well, and its scheduler gives the work of a worker that is lost to another one by itself.
"""

from __future__ import annotations

import asyncio
import secrets
from collections.abc import Callable
from typing import Any

import seatmesh
from seatmesh.errors import FileRefusedError, ValueRefusedError
from seatmesh.units import shown

from .lane import WorkerLostError
from .progress import Told, telling

STEPS = "seatmesh steps"
"""The topic under which workers tell how far they are."""
CONNECT_S = 10.0


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
            import distributed  # noqa: F401, PLC0415 - an extra
        except ImportError as error:
            raise FileRefusedError(
                "a cluster needs Dask; install it with: pip install 'seatmesh[cluster]'"
            ) from error
        self._address = address
        # Its methods have no types.
        self._client: Any = None
        self._told: dict[str, Told] = {}
        self.slots = 1

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
        self.slots = max(1, sum(threads.values()))

    def _hear(self, event: tuple[float, Any]) -> None:
        _, (key, words, share) = event
        tell = self._told.get(key)
        if tell is not None:
            tell(words, share)

    async def run(self, tell: Told | None, seconds: float, work: Callable[..., Any], *given: Any) -> Any:
        """Return what `work(*given)` returns on some worker; see `lane.Workers`."""
        from distributed import CancelledError, KilledWorker  # noqa: PLC0415

        key = f"seatmesh-{secrets.token_hex(12)}"
        if tell is not None:
            self._told[key] = tell
        future = self._client.submit(on_a_worker, key, work, *given, key=key, pure=False)
        try:
            async with asyncio.timeout(seconds):
                return await future.result()
        except (KilledWorker, CancelledError) as error:
            raise WorkerLostError from error
        finally:
            self._told.pop(key, None)
            if not future.done():
                await future.cancel(force=True)
            future.release()
            await self._count()

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
