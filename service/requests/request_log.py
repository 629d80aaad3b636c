"""The request log, in the Combined Log Format of common web servers: one line a request, no token and no body in it."""

from __future__ import annotations

import logging
import logging.handlers
import sys
from datetime import datetime

from seatmesh.errors import FileRefusedError

STANDARD = "-"
HIDDEN = "[token]"
MOST = 2000
"""Letters of a target, a referrer or a program's name."""


def open_log(where: str, to_stderr: bool = False) -> logging.Handler:
    """Return what writes the log: to a file, which may be moved away at any time, or for `-` to standard output.

    Raises
    ------
    FileRefusedError
        The file cannot be written.
    """
    handler: logging.Handler
    if where == STANDARD:
        handler = logging.StreamHandler(sys.stderr if to_stderr else sys.stdout)
    else:
        try:
            handler = logging.handlers.WatchedFileHandler(where, encoding="utf-8")
        except OSError as error:
            raise FileRefusedError(
                f"--log '{where}' cannot be written ({error.strerror or error}); name another file, or - to print it."
            ) from error
    handler.setFormatter(logging.Formatter("%(message)s"))
    return handler


class RequestLog:
    """Writes a line for each request; the token that the service asks for is blotted out wherever it stands."""

    def __init__(self, handler: logging.Handler | None, token: str | None) -> None:
        self._handler, self._token = handler, token

    def line(
        self, client: str, request: str, status: int, size: int, referrer: str = "-", program: str = "-"
    ) -> None:
        """Write one line."""
        if self._handler is None:
            return
        when = datetime.now().astimezone().strftime("%d/%b/%Y:%H:%M:%S %z")
        text = f'{self._safe(client)} - - [{when}] "{self._safe(request)}" {status} {size} '
        text += f'"{self._safe(referrer)}" "{self._safe(program)}"'
        # A full disk costs the line, never the answer.
        self._handler.handle(logging.LogRecord("seatmesh", logging.INFO, "", 0, text, None, None))

    def _safe(self, text: str) -> str:
        if self._token:
            text = text.replace(self._token, HIDDEN)
        letters = (
            letter if " " <= letter <= "~" and letter not in '"\\' else f"\\x{ord(letter):02x}"
            for letter in text[:MOST]
        )
        return "".join(letters) or "-"
