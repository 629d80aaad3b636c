"""The fitting log in the text of an order file: entries added, taken back and locked, all else left to the byte.

Entries are text put at the end and cut out again, so that what the maker wrote, comments and all, stays as it was.
Every edit is read back: where the text then says anything but what was meant, it is refused.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from typing import Any

from seatmesh.errors import InputError, ValueRefusedError

HEADER = re.compile(r"^[ \t]*\[\[[ \t]*adjustment[ \t]*\]\][ \t]*(#.*)?$")
OTHER_HEADER = re.compile(r"^[ \t]*\[")
LOCKED = re.compile(r"^[ \t]*locked[ \t]*=")
DAY = re.compile(r"\d{4}-\d{2}-\d{2}")
TODO = "edit the [[adjustment]] tables of the order file by hand"


def with_entry(text: str, entry: Mapping[str, Any]) -> str:
    """Return the text of an order file with one more adjustment at its end.

    `entry` has the keys of `[[adjustment]]`; its numbers and words are written as they are.

    Raises
    ------
    InputError
        The entry cannot be added to this text.
    """
    end = _line_end(text)
    lines = ["[[adjustment]]", *(f"{key} = {_value(key, value)}" for key, value in entry.items())]
    made = text + end + end.join(lines) + end
    before = _log(text)
    if _log(made) != [*before, dict(_read(end.join(lines))["adjustment"][0])]:
        raise InputError(f"adjustment: it cannot be added at the end of this order file; {TODO}.")
    return made


def without_last(text: str) -> tuple[str, int]:
    """Return the text without the last adjustment that is not locked, and that one's number.

    Raises
    ------
    InputError
        There is none, or it cannot be cut out.
    """
    log = _log(text)
    open_ones = [number for number, one in enumerate(log, start=1) if not one.get("locked", False)]
    if not open_ones:
        given = "all are locked" if log else "the order has none"
        todo = "unlock one first" if log else "there is nothing to take back"
        raise ValueRefusedError("undo", given, "it takes back the last adjustment that is not locked", todo)
    number = open_ones[-1]
    start, stop = _block(text, number)
    head, rest = text[:start], text[stop:]
    # The blank line that was put before it goes too, unless what follows would then run on from the line above.
    shorter = head[: -len(_line_end(text))] if head.endswith(_line_end(text)) else head
    if not rest or shorter.endswith("\n"):
        head = shorter
    made = head + rest
    if _log(made) != log[: number - 1] + log[number:]:
        raise InputError(f"undo: adjustment {number} cannot be cut out of this order file; {TODO}.")
    return made, number


def with_lock(text: str, number: int, locked: bool) -> str:
    """Return the text with an adjustment, counted from 1, locked or not.

    Raises
    ------
    InputError
        There is no such adjustment, or its text cannot be changed.
    """
    log = _log(text)
    if not 1 <= number <= len(log):
        allowed = f"the order has {len(log)}" if log else "the order has none"
        raise ValueRefusedError("lock", number, allowed, "give the number that the report shows")
    if bool(log[number - 1].get("locked", False)) == locked:
        return text
    start, stop = _block(text, number)
    end = _line_end(text)
    lines = [line for line in text[start:stop].splitlines(keepends=True) if not LOCKED.match(line)]
    if locked:
        lines[-1] = lines[-1].rstrip("\r\n") + end
        lines.append(f"locked = true{end}")
    made = text[:start] + "".join(lines) + text[stop:]
    wanted = {key: value for key, value in log[number - 1].items() if key != "locked"}
    wanted |= {"locked": True} if locked else {}
    if _log(made) != [*log[: number - 1], wanted, *log[number:]]:
        raise InputError(f"lock: adjustment {number} cannot be changed in this order file; {TODO}.")
    return made


def _block(text: str, number: int) -> tuple[int, int]:
    """Return where the table of an adjustment begins and ends in the text: its header to its last key."""
    at, seen, start, stop = 0, 0, -1, -1
    for line in text.splitlines(keepends=True):
        bare = line.rstrip("\r\n")
        if OTHER_HEADER.match(bare) and start >= 0:
            break
        if HEADER.match(bare):
            seen += 1
            start = at if seen == number else start
        at += len(line)
        if start >= 0 and bare.strip() and not bare.lstrip().startswith("#"):
            stop = at
    if start < 0:
        raise InputError(
            f"adjustment {number}: its table is not found in the text of the order file; {TODO}."
        )
    return start, stop


def _log(text: str) -> list[dict[str, Any]]:
    log = _read(text).get("adjustment", [])
    return [dict(one) for one in log] if isinstance(log, list) else []


def _read(text: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text.removeprefix("\ufeff"))
    except ValueError as error:
        raise InputError(f"order file: it is not TOML then: {error}; {TODO}.") from error


def _line_end(text: str) -> str:
    return "\r\n" if "\r\n" in text else "\n"


def _value(key: str, value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return f"{value:g}" if float(f"{value:g}") == value else repr(value)
    if key == "date" and DAY.fullmatch(str(value)):
        return str(value)
    return '"' + str(value).replace("\\", "\\\\").replace('"', '\\"') + '"'
