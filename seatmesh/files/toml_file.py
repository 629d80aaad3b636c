"""Reading of TOML files that others hand in: small ones, strict about keys, plain about what is wrong."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from seatmesh.errors import FileRefusedError, UnknownKeyError
from seatmesh.files.bounded import read_bounded


def read_toml(path: str | Path, what: str, limit_bytes: int = 1_000_000) -> dict[str, Any]:
    """Return the table in a TOML file; `what` names the kind of file in a refusal ("body file").

    Raises
    ------
    FileRefusedError
        The file is missing, no regular file, larger than `limit_bytes` (found before it is read), unreadable,
        not UTF-8 or not TOML.
    """
    data = read_bounded(path, f"{what} '{path}'", limit_bytes)
    try:
        # A byte-order mark, as some editors write, is no part of the text.
        return tomllib.loads(data.decode("utf-8-sig"))
    except UnicodeDecodeError as error:
        raise FileRefusedError(
            f"{what} '{path}' is not UTF-8 text (byte {error.start}); save it as plain UTF-8 text."
        ) from error
    except ValueError as error:  # TOMLDecodeError, and integers of thousands of digits
        raise FileRefusedError(f"{what} '{path}' is not TOML: {error}; correct it there.") from error
    except RecursionError as error:
        raise FileRefusedError(
            f"{what} '{path}' is nested too deeply; write it as a few flat tables."
        ) from error


def refuse_unknown(table: Mapping[str, Any], known: Iterable[str], where: str) -> None:
    """Refuse the first key of a table that is not among `known`; `where` names the table in the message.

    Raises
    ------
    UnknownKeyError
        It names the key and the nearest known one.
    """
    names = set(known)
    for key in table:
        if key not in names:
            raise UnknownKeyError(key, names, where)
