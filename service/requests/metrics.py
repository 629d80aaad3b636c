"""Figures of the service as text in the Prometheus exposition format 0.0.4, which OpenMetrics grew out of.

Written by hand: the usual library counts in one registry for the whole process, and these are forty lines.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

MEDIA_TYPE = "text/plain; version=0.0.4; charset=utf-8"
BOUNDS_S = (0.01, 0.05, 0.1, 0.5, 1.0, 5.0, 10.0, 30.0, 60.0)
METHODS = ("GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS")
GAUGES = {
    "queue_length": "Pieces of work that run or wait for a worker.",
    "workers": "Worker processes that are up.",
    "store_bytes": "Bytes of kept seats and their files.",
    "connections": "Connections that are open.",
}


class Metrics:
    """Counts requests by method, route and status, and the seconds that they took by route."""

    def __init__(self) -> None:
        self._requests: Counter[tuple[str, str, int]] = Counter()
        self._within: Counter[tuple[str, float]] = Counter()
        self._count: Counter[str] = Counter()
        self._seconds: dict[str, float] = {}
        self.refused: Counter[str] = Counter()
        self.connections = 0

    def count(self, method: str, route: str, status: int, seconds: float) -> None:
        """Enter a request; `route` is one of few, so that no client makes the table grow."""
        self._requests[method if method in METHODS else "other", route, status] += 1
        self._count[route] += 1
        self._seconds[route] = self._seconds.get(route, 0.0) + seconds
        for bound in BOUNDS_S:
            self._within[route, bound] += seconds <= bound

    def text(self, gauges: Mapping[str, float]) -> str:
        """Return all figures, with those of `gauges` as they are now."""
        return "\n".join(self._lines({**gauges, "connections": self.connections})) + "\n"

    def _lines(self, gauges: Mapping[str, float]) -> Iterator[str]:
        yield from _head("requests_total", "counter", "Requests answered.")
        for (method, route, status), number in sorted(self._requests.items()):
            yield f'seatmesh_requests_total{{method="{method}",route="{route}",status="{status}"}} {number}'
        yield from _head(
            "request_seconds", "histogram", "Seconds from the head of a request to the end of its answer."
        )
        for route, number in sorted(self._count.items()):
            for bound in BOUNDS_S:
                within = self._within[route, bound]
                yield f'seatmesh_request_seconds_bucket{{route="{route}",le="{bound}"}} {within}'
            yield f'seatmesh_request_seconds_bucket{{route="{route}",le="+Inf"}} {number}'
            yield f'seatmesh_request_seconds_sum{{route="{route}"}} {self._seconds[route]:.6f}'
            yield f'seatmesh_request_seconds_count{{route="{route}"}} {number}'
        yield from _head("connections_refused_total", "counter", "Connections refused or cut, by why.")
        for why, number in sorted(self.refused.items()):
            yield f'seatmesh_connections_refused_total{{why="{why}"}} {number}'
        for name, value in gauges.items():
            yield from _head(name, "gauge", GAUGES.get(name, f"{name.replace('_', ' ').capitalize()}."))
            yield f"seatmesh_{name} {value:g}" if value < 1e6 else f"seatmesh_{name} {value:.0f}"


def _head(name: str, kind: str, words: str) -> Iterator[str]:
    yield f"# HELP seatmesh_{name} {words}"
    yield f"# TYPE seatmesh_{name} {kind}"
