"""What the service allows: every limit with its default, in one place."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields

from seatmesh.errors import UnknownKeyError, ValueRefusedError
from seatmesh.units import shown

PREFIX = "SEATMESH_LIMIT_"
GREATEST = 1e12


@dataclass(frozen=True)
class ServiceLimits:
    """Limits of the service; each is set by `serve --limit NAME=VALUE` or by `SEATMESH_LIMIT_NAME`.

    Attributes
    ----------
    workers, long_workers, quick_workers
        Worker processes for seats and files, how many more there may be for work that turns out long, which then
        stands back and leaves its worker's turn to others, and for previews and checks; each takes up to
        `worker_memory_mb`.
    queue, queue_each
        Pieces of work that may wait for a worker, in all and of one caller; one more is answered with 503 or 429 and
        `Retry-After`.
    quick_s
        Seconds that a request waits for a seat or a file; one that takes longer becomes a job.
    work_s, job_s, parse_s
        Seconds that a preview or a check may take, a seat or a file, and the reading of a body; then its worker is
        ended and replaced.
    worker_memory_mb
        Address space of a worker. What needs more is refused.
    body_kb, body_s
        Size of a request's body, counted while it arrives, and the seconds it may take to arrive.
    json_depth
        Lists and tables inside one another in a body.
    sitters
        Sitters of an order, and bodies of a request.
    batch_orders, batch_bodies
        Orders of a batch, and bodies of a table of sittings.
    people
        People drawn for one question about a seat.
    grid_points, pixels, facets
        Points of a depth grid, pixels of a height map, triangles of a mesh.
    store_mb, seats_mb
        Files that can be made again, and kept seats; the least used make room for new ones, pinned seats never.
    write_s
        Seconds for which a client may read nothing of its answer; then its connection is cut.
    idle_s
        Seconds that a connection may wait for its next request.
    connections, connections_each
        Connections at a time, and those of one address. A proxy, and all that runs on this machine, share one.
    """

    workers: int = 2
    long_workers: int = 2
    quick_workers: int = 1
    queue: int = 200
    queue_each: int = 50
    quick_s: float = 50.0
    work_s: float = 60.0
    job_s: float = 1800.0
    parse_s: float = 5.0
    worker_memory_mb: int = 4000
    body_kb: int = 1000
    body_s: float = 20.0
    json_depth: int = 16
    sitters: int = 12
    batch_orders: int = 100
    batch_bodies: int = 2000
    people: int = 20_000
    grid_points: int = 500_000
    pixels: int = 4_000_000
    facets: int = 400_000
    store_mb: int = 2000
    seats_mb: int = 1000
    write_s: float = 30.0
    idle_s: int = 20
    connections: int = 500
    connections_each: int = 250


def limits_from(settings: Mapping[str, str]) -> ServiceLimits:
    """Return the limits with some set, by name and as text.

    Raises
    ------
    UnknownKeyError, ValueRefusedError
        A name that is none, with the nearest; a value that is no number above 0, or no whole one where one is needed.
    """
    kinds = {one.name: type(one.default) for one in fields(ServiceLimits)}
    values: dict[str, float] = {}
    for name, text in settings.items():
        if name not in kinds:
            raise UnknownKeyError(name, kinds, "limit")
        values[name] = _number(name, text, kinds[name] is int)
    return ServiceLimits(**values)  # type: ignore[arg-type]


def settings_of(options: Iterable[str], environment: Mapping[str, str]) -> dict[str, str]:
    """Return limits as text by name: those of the environment, and over them those given as NAME=VALUE."""
    settings = {
        key.removeprefix(PREFIX).lower(): value
        for key, value in environment.items()
        if key.startswith(PREFIX)
    }
    for option in options:
        name, sign, value = option.partition("=")
        if not sign:
            raise ValueRefusedError("--limit", shown(option), "allowed is NAME=VALUE", "write facets=200000")
        settings[name.strip()] = value.strip()
    return settings


def _number(name: str, text: str, whole: bool) -> float:
    allowed = f"allowed is a {'whole ' if whole else ''}number above 0"
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not 0.0 < value <= GREATEST or (whole and not value.is_integer()):
        raise ValueRefusedError(f"limit {name}", shown(text), allowed, "correct it or leave it out")
    return int(value) if whole else value
