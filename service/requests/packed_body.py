"""Bodies that come packed by gzip (RFC 9110, 8.4 and 12.5.3): unpacked as they arrive, never beyond what is allowed."""

from __future__ import annotations

import zlib
from collections.abc import Sequence

from ..refusal import ProblemError

GZIP = ("gzip", "x-gzip")
MOST_MEMBERS = 16
"""A gzip file may be several one after the other; with very many the time goes into starting anew."""
WITH_GZIP_HEAD = 16 + zlib.MAX_WBITS


class Unpacked:
    """The body of a request as it comes in, packed or not; it stops to unpack at one byte more than `most`.

    Raises
    ------
    ProblemError
        415 with Accept-Encoding for another packing; from `add` and `whole` 400 for what is no gzip.
    """

    def __init__(self, encodings: Sequence[str], most: int) -> None:
        names = [one.strip().lower() for one in ",".join(encodings).split(",")]
        named = [one for one in names if one not in ("", "identity")]
        if len(named) > 1 or (named and named[0] not in GZIP):
            raise ProblemError(
                415, "Another packing is needed",
                f"Content-Encoding = '{', '.join(named)[:80]}': allowed is gzip, once; send the body so, or unpacked",
                {"Accept-Encoding": "gzip, identity", "Connection": "close"},
            )  # fmt: skip
        self._most, self._parts, self.size = most, [b""], 0
        self._members = 1
        self._unpacker = zlib.decompressobj(WITH_GZIP_HEAD) if named else None

    def add(self, data: bytes) -> None:
        """Take a part."""
        if self._unpacker is None:
            self._keep(data)
            return
        while data and self.size <= self._most:
            if self._unpacker.eof:
                self._members += 1
                if self._members > MOST_MEMBERS:
                    raise _broken(f"it has more than {MOST_MEMBERS} members")
                self._unpacker = zlib.decompressobj(WITH_GZIP_HEAD)
            try:
                self._keep(self._unpacker.decompress(data, self._most + 1 - self.size))
            except zlib.error as error:
                raise _broken(str(error)) from error
            data = self._unpacker.unused_data

    def whole(self) -> bytes:
        """Return the body, unpacked."""
        if self._unpacker is not None and not self._unpacker.eof:
            raise _broken("it ends too early")
        return b"".join(self._parts)

    def _keep(self, data: bytes) -> None:
        self._parts.append(data)
        self.size += len(data)


def _broken(why: str) -> ProblemError:
    return ProblemError(
        400, "The body is no gzip", f"{why}; pack it by gzip or send it without Content-Encoding",
        {"Connection": "close"},
    )  # fmt: skip
