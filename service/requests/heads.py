"""Heads of requests: what the parser lets pass and another server would read otherwise, or that is too large."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from urllib.parse import urlsplit

import h11

HEAD_BYTES = 16 * 1024
HEADERS = 100
TARGET_BYTES = 8000
"""RFC 9112, 3: to take at least 8000 is recommended."""


@dataclass(frozen=True)
class HeadFault:
    """Why a head is refused."""

    status: int
    title: str
    detail: str


class StrictConnection(h11.Connection):
    """The parser's own connection, which remembers why it refused a head and refuses some more."""

    fault: HeadFault | None = None

    def receive_data(self, data: bytes) -> None:
        """Take what came; empty lines before a request are none of it (RFC 9112, 2.2)."""
        data = self.begins_with(data)
        if data:
            super().receive_data(data)

    def begins_with(self, data: bytes) -> bytes:
        """Return data without empty lines where a request begins."""
        begins = self.their_state is h11.IDLE and not self.trailing_data[0]
        return data.lstrip(b"\r\n") if begins else data

    def next_event(self) -> h11.Event | type[h11.NEED_DATA] | type[h11.PAUSED]:
        """Return the next event.

        Raises
        ------
        h11.RemoteProtocolError
            What came is refused; `fault` says why.
        """
        head = self.trailing_data[0].lstrip(b"\r\n") if self.their_state is h11.IDLE else b""
        try:
            event = super().next_event()
        except h11.RemoteProtocolError as error:
            self.fault = _of_the_parser(error, head)
            raise
        if isinstance(event, h11.Request):
            self.fault = fault_of(head, event)
            if self.fault is not None:
                raise h11.RemoteProtocolError(self.fault.detail, self.fault.status)
            return _in_origin_form(event)
        return event


def fault_of(head: bytes, request: h11.Request) -> HeadFault | None:
    """Return why a head is refused, though the parser took it; None for a good one."""
    end = re.search(rb"\n\r?\n", head)
    lines = head[: end.start() if end else len(head)].split(b"\n")
    if not request.http_version.startswith(b"1."):
        return HeadFault(505, "Another version is needed", "this is a service for HTTP/1.1; send that")
    if len(request.target) > TARGET_BYTES:
        return _target_too_long()
    if (end.end() if end else len(head)) > HEAD_BYTES or len(lines) - 1 > HEADERS:
        return _head_too_large()
    unclear = next(_unclear(lines[1:], request), None)
    return HeadFault(400, "The request is not clear", unclear) if unclear else None


def _unclear(lines: list[bytes], request: h11.Request) -> Iterator[str]:
    """Say what two servers may read in two ways."""
    if any(line[:1] in (b" ", b"\t") for line in lines):
        yield "a header goes on on a second line, which RFC 9112 has done away with; write it on one"
    names = [line.partition(b":")[0].strip().lower() for line in lines]
    lengths, codings = names.count(b"content-length"), names.count(b"transfer-encoding")
    # The parser makes one of several that are alike.
    given = [
        line.partition(b":")[2] for line, name in zip(lines, names, strict=True) if name == b"content-length"
    ]
    if lengths > 1 or any(b"," in one for one in given):
        yield "there is more than one Content-Length; send one"
    if codings and lengths:
        yield "there are Content-Length and Transfer-Encoding; send one of them"
    if codings and request.http_version == b"1.0":
        yield "there is a Transfer-Encoding, which HTTP/1.0 has not; send Content-Length"


def _of_the_parser(error: h11.RemoteProtocolError, head: bytes) -> HeadFault:
    if error.error_status_hint == 431:
        return _target_too_long() if head and b"\n" not in head else _head_too_large()
    words = re.sub(r"[^\x20-\x7e]", "?", str(error))[:200].rstrip(".")
    if error.error_status_hint == 501:
        return HeadFault(
            501, "The request is not clear", f"{words}; send Content-Length, or Transfer-Encoding: chunked"
        )
    return HeadFault(400, "This is no HTTP", f"{words}; send HTTP/1.1")


def _in_origin_form(request: h11.Request) -> h11.Request:
    """Return a request whose target is a path: an absolute one is taken apart, its host outranks the header."""
    if not re.match(rb"https?://", request.target, re.IGNORECASE):
        return request
    parts = urlsplit(request.target)
    target = (parts.path or b"/") + (b"?" + parts.query if parts.query else b"")
    others = [(name, value) for name, value in request.headers if name != b"host"]
    return h11.Request(
        method=request.method,
        target=target,
        headers=[(b"host", parts.netloc), *others],
        http_version=request.http_version,
    )


def _target_too_long() -> HeadFault:
    return HeadFault(
        414, "The address is too long", f"allowed are {TARGET_BYTES} bytes; send what is long as a body"
    )


def _head_too_large() -> HeadFault:
    return HeadFault(
        431,
        "The head is too large",
        f"allowed are {HEADERS} headers and {HEAD_BYTES} bytes; send fewer or shorter ones",
    )
