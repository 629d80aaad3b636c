"""Connections: one that takes too long over the head of a request is closed, and what is no HTTP is told so.

The server's own protocol waits for ever for the rest of a head.
"""

from __future__ import annotations

import asyncio

import h11
from uvicorn.protocols.http.h11_impl import H11Protocol

from ..problems import MEDIA_TYPE, problem

HEAD_S = 15.0
"""Seconds that the head of a request may take to arrive."""


class PatientConnection(H11Protocol):
    """The server's protocol for HTTP/1.1, with an end to its patience."""

    _waiting: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Start to wait for the first request."""
        super().connection_made(transport)
        self._watch()

    def data_received(self, data: bytes) -> None:
        """Take what came; wait on while it is part of a head."""
        super().data_received(data)
        self._watch()

    def connection_lost(self, exc: Exception | None) -> None:
        """Wait no more."""
        self._forget()
        super().connection_lost(exc)

    def send_400_response(self, msg: str) -> None:
        """Say that this is no HTTP, and close."""
        answer = problem(400, "This is no HTTP", f"{msg.rstrip('.')}; send HTTP/1.1")
        head = f"HTTP/1.1 400 Bad Request\r\nContent-Type: {MEDIA_TYPE}\r\nConnection: close\r\n"
        size = f"Content-Length: {len(answer.body)}\r\n\r\n"
        self.transport.write(head.encode() + size.encode() + bytes(answer.body))
        self.transport.close()

    def _watch(self) -> None:
        in_a_head = self.conn.their_state is h11.IDLE and (self.cycle is None or self.conn.trailing_data[0])
        if not in_a_head:
            self._forget()
        elif self._waiting is None:
            self._waiting = asyncio.get_running_loop().call_later(HEAD_S, self._give_up)

    def _give_up(self) -> None:
        self._waiting = None
        self.transport.close()

    def _forget(self) -> None:
        if self._waiting is not None:
            self._waiting.cancel()
            self._waiting = None
