"""Connections: how many there may be, and how long each may be slow at sending, at reading and at asking again.

The server's own protocol waits for ever for the rest of a head, and for a client that reads nothing.
"""

from __future__ import annotations

import asyncio
import contextlib
import ipaddress
import sys
from http import HTTPStatus
from typing import Any

import h11
from uvicorn.config import Config
from uvicorn.protocols.http.h11_impl import H11Protocol
from uvicorn.server import ServerState

from ..limits import ServiceLimits
from ..problems import MEDIA_TYPE, problem
from .heads import HEAD_BYTES, HeadFault, StrictConnection
from .journal import Journal

if sys.platform == "linux":
    import fcntl
    import termios

HEAD_S = 15.0
"""Seconds that the head of a request may take to arrive."""
LINGER_S = 2.0
"""Seconds for which the rest of a body is still taken when its request is answered."""
PIPELINED_BYTES = 64 * 1024
"""Bytes of further requests that may wait behind one; with more the connection ends after it."""
LOOKS = 3
"""How often within `write_s` it is looked whether a client reads."""
NOTHING = HeadFault(400, "This is no HTTP", "send HTTP/1.1")


class PatientConnection(H11Protocol):
    """The server's protocol for HTTP/1.1, with an end to its patience."""

    _waiting: asyncio.TimerHandle | None = None
    _looking: asyncio.TimerHandle | None = None

    def __init__(
        self,
        config: Config,
        server_state: ServerState,
        app_state: dict[str, Any],
        _loop: asyncio.AbstractEventLoop | None = None,
    ) -> None:
        super().__init__(config, server_state, app_state, _loop)
        state = getattr(config.app, "state", None)
        self._limits: ServiceLimits = getattr(state, "limits", None) or ServiceLimits()
        self._journal: Journal | None = getattr(state, "journal", None)
        self.conn: StrictConnection = StrictConnection(h11.SERVER, HEAD_BYTES)
        self.timeout_keep_alive = self._limits.idle_s
        self._drained = 0
        self._seen = (0, 0, 0)
        self._stuck = 0

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Start to wait for the first request, unless there are too many connections."""
        super().connection_made(transport)
        self._count_connections()
        mine = _network(self.client)
        same = sum(isinstance(one, H11Protocol) and _network(one.client) == mine for one in self.connections)
        if len(self.connections) > self._limits.connections:
            self._refuse_one_more(f"{self._limits.connections} connections are open")
        elif same > self._limits.connections_each:
            self._refuse_one_more(f"{self._limits.connections_each} connections of your address are open")
        else:
            self._watch()
        self._look()

    def data_received(self, data: bytes) -> None:
        """Take what came; wait on while it is part of a head."""
        # An empty line is no request: the wait for the next one goes on.
        if self.transport.is_closing() or not self.conn.begins_with(data):
            return
        super().data_received(data)
        if self.cycle is not None and len(self.conn.trailing_data[0]) > PIPELINED_BYTES:
            self.cycle.keep_alive = False
        self._watch()

    def resume_writing(self) -> None:
        """Note that the client reads."""
        self._drained += 1
        super().resume_writing()

    def on_response_complete(self) -> None:
        """Take little of a body that goes on after its request is answered."""
        super().on_response_complete()
        if self.conn.their_state is h11.SEND_BODY and not self.transport.is_closing():
            asyncio.get_running_loop().call_later(LINGER_S, self._end_body, self.cycle)

    def connection_lost(self, exc: Exception | None) -> None:
        """Wait no more."""
        self._forget()
        if self._looking is not None:
            self._looking.cancel()
            self._looking = None
        super().connection_lost(exc)
        self._count_connections()

    def send_400_response(self, msg: str) -> None:
        """Say what is wrong with a head or with the chunks of a body, and close."""
        fault = self.conn.fault or NOTHING
        if self.cycle is not None and self.cycle.response_started and not self.cycle.response_complete:
            # Words in the middle of an answer would be taken for a part of it.
            self._note("broken", fault.status, 0)
            self.transport.abort()
            return
        self._refuse(fault, "not-http")

    def _refuse_one_more(self, why: str) -> None:
        fault = HeadFault(
            503, "Too many connections", f"{why}, which is the most; close some, or ask again later"
        )
        self._refuse(fault, "too-many", {"Retry-After": "5"})

    def _refuse(self, fault: HeadFault, why: str, headers: dict[str, str] | None = None) -> None:
        body = bytes(problem(fault.status, fault.title, fault.detail).body)
        told = {"Content-Type": MEDIA_TYPE, "Content-Length": str(len(body)), "Cache-Control": "no-store"}
        told |= {"X-Content-Type-Options": "nosniff", "Connection": "close", **(headers or {})}
        head = f"HTTP/1.1 {fault.status} {HTTPStatus(fault.status).phrase}\r\n"
        head += "".join(f"{name}: {value}\r\n" for name, value in told.items())
        self._note(why, fault.status, len(body))
        self.transport.write(head.encode() + b"\r\n" + body)
        self.transport.close()

    def _watch(self) -> None:
        in_a_head = self.conn.their_state is h11.IDLE and (self.cycle is None or self.conn.trailing_data[0])
        if not in_a_head or self.transport.is_closing():
            self._forget()
        elif self._waiting is None:
            self._waiting = asyncio.get_running_loop().call_later(HEAD_S, self._give_up)

    def _give_up(self) -> None:
        self._waiting = None
        self._note("slow-head", 408, 0)
        self.transport.close()

    def _forget(self) -> None:
        if self._waiting is not None:
            self._waiting.cancel()
            self._waiting = None

    def _look(self) -> None:
        """Cut the connection when its client has read nothing of what waits for it, several looks in a row."""
        seen = (self.transport.get_write_buffer_size(), self._drained, _in_the_kernel(self.transport))
        self._stuck = self._stuck + 1 if seen[0] and seen == self._seen else 0
        self._seen = seen
        if self._stuck >= LOOKS:
            self._note("reads-nothing", 408, 0)
            self.transport.abort()
            return
        self._looking = asyncio.get_running_loop().call_later(self._limits.write_s / LOOKS, self._look)

    def _end_body(self, cycle: object) -> None:
        if self.cycle is cycle and self.conn.their_state is h11.SEND_BODY:
            self.transport.close()

    def _note(self, why: str, status: int, size: int) -> None:
        if self._journal is not None:
            self._journal.cut(self.client[0] if self.client else "-", why, status, size)

    def _count_connections(self) -> None:
        if self._journal is not None:
            self._journal.metrics.connections = len(self.connections)


def _in_the_kernel(transport: asyncio.Transport) -> int:
    """Return the bytes that were sent and that the other side has not taken, where the system tells (Linux: tcp(7)).

    The system takes more only when a third of its buffer is free, which a slow client may need a minute for.
    """
    if sys.platform == "linux":
        with contextlib.suppress(OSError, ValueError):
            told = fcntl.ioctl(transport.get_extra_info("socket").fileno(), termios.TIOCOUTQ, bytes(4))
            return int.from_bytes(told, sys.byteorder)
    return 0


def _network(client: tuple[str, int] | None) -> str:
    """Return the address of a client; of IPv6 the network of 64 bits that one household has."""
    address = client[0].partition("%")[0] if client else ""
    return str(ipaddress.IPv6Network((address, 64), strict=False)) if ":" in address else address
