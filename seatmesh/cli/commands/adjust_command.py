"""`seatmesh adjust`: add an adjustment to an order file, take the last one back, lock one; and see what each does."""

from __future__ import annotations

import argparse
import datetime
from collections.abc import Callable
from typing import Any

from seatmesh.cli.output import print_json, print_text, say
from seatmesh.cli.progress import step
from seatmesh.design.log.log_edit import with_entry, with_lock, without_last
from seatmesh.design.log.log_file import edited, keep, log_report
from seatmesh.design.log.log_report import log_lines
from seatmesh.design.orders.keys.adjustment import ADJUSTMENT
from seatmesh.errors import MissingKeyError, ValueRefusedError

NOT_AN_OPTION = "locked"
"""An adjustment is locked by a command of its own."""


def run(options: argparse.Namespace) -> None:
    """Edit the order file if asked to, and print its adjustments with what each does."""
    edit, done = _edit(options)
    change = edited(options.order, edit)
    if change.order.log:
        step(f"shaping '{change.order.title}' and pressing it after each adjustment")
    report = log_report(change.order)
    if done:
        keep(options.order, change)
    for note in report["notes"]:
        say(f"note: {note}")
    if options.json:
        print_json({"order": str(options.order), "change": done, **report})
        return
    lines = [f"{options.order}: {done}", ""] if done else []
    lines += log_lines(report["adjustments"], change.order.units) or ["no adjustments"]
    print_text("\n".join(lines))


def _edit(options: argparse.Namespace) -> tuple[Callable[[str], str], str]:
    """Return the edit that is asked for and what it does in words; none for a mere look."""
    asked_for = {key.name: getattr(options, key.name) for key in ADJUSTMENT.keys if key.name != NOT_AN_OPTION}
    given = {name: value for name, value in asked_for.items() if value is not None}
    asked = {
        "--undo": options.undo,
        "--lock": options.lock is not None,
        "--unlock": options.unlock is not None,
        "--action": bool(given),
    }
    named = [name for name, wanted in asked.items() if wanted]
    if len(named) > 1:
        raise ValueRefusedError(
            named[0], f"with {named[1]}", "one change at a time", "give the other in a second command"
        )
    if options.undo:
        return lambda text: without_last(text)[0], "took back the last adjustment that is not locked"
    for number, locked in ((options.lock, True), (options.unlock, False)):
        if number is not None:
            words = "locked" if locked else "unlocked"
            return _locking(number, locked), f"adjustment {number} is {words}"
    if given:
        entry = _entry(given)
        return lambda text: with_entry(text, entry), "added one adjustment at the end"
    return lambda text: text, ""


def _locking(number: int, locked: bool) -> Callable[[str], str]:
    return lambda text: with_lock(text, number, locked)


def _entry(given: dict[str, Any]) -> dict[str, Any]:
    for key in ADJUSTMENT.keys:
        if key.needed and key.name not in given:
            raise MissingKeyError(f"--{key.name.replace('_', '-')}", "adjust", key.needed)
    date = given.pop("date", None) or datetime.date.today().isoformat()
    return {"date": date, **{key: _number(value) for key, value in given.items()}}


def _number(value: str) -> float | str:
    """Return a plain number as one; a length with its unit, or with a plus that says a side, stays as written."""
    try:
        return value if value.startswith("+") else float(value)
    except ValueError:
        return value
