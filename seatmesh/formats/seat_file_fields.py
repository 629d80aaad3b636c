"""Frozen dataclasses to tables of plain values and back, led by the types of their fields."""

from __future__ import annotations

import dataclasses
import types
from collections.abc import Mapping
from typing import Any, Literal, TypeVar, Union, get_args, get_origin, get_type_hints

from seatmesh.errors import MissingKeyError, NotAmongError, UnknownKeyError, ValueRefusedError
from seatmesh.units import real_number, shown

T = TypeVar("T")

LARGEST = 10_000.0
"""No length on a chair is as long in mm, and no other number as large: a wrong unit, or worse."""


def to_plain(value: Any, hint: Any) -> Any:
    """Return a field's value as JSON knows it: None, bool, int, float, str, a list or a dict."""
    hint = _unless_none(hint, value)
    if dataclasses.is_dataclass(hint):
        hints = get_type_hints(hint)
        return {f.name: to_plain(getattr(value, f.name), hints[f.name]) for f in dataclasses.fields(hint)}
    if get_origin(hint) is tuple:
        return [to_plain(one, each) for one, each in zip(value, _item_hints(hint, len(value)), strict=True)]
    # An int given for a length is written as the float that it is read back as.
    return float(value) if hint is float else value


def from_table(cls: type[T], table: object, where: str) -> T:
    """Build a dataclass from a table that holds each of its fields and nothing else; `where` names the table.

    Raises
    ------
    UnknownKeyError, MissingKeyError, ValueRefusedError
        They name the key, and the table by `where`.
    """
    hints = get_type_hints(cls)
    names = [f.name for f in dataclasses.fields(cls)]  # type: ignore[arg-type]
    whole = exact_table(table, names, where)
    return cls(**{name: from_plain(whole[name], hints[name], f"{where}.{name}") for name in names})


def exact_table(table: object, keys: list[str], where: str) -> Mapping[str, Any]:
    """Return the table if it holds just these keys."""
    if not isinstance(table, dict):
        raise ValueRefusedError(
            where, shown(table), "allowed is a table of keys and values", "correct it there"
        )
    for key in table:
        if key not in keys:
            raise UnknownKeyError(key, keys, where)
    for key in keys:
        if key not in table:
            raise MissingKeyError(key, where, "write the file anew with seatmesh, or add it.")
    return table


def finite_number(given: object, where: str) -> float:
    """Return a finite number no larger than any on a chair."""
    allowed = f"allowed is a number from {-LARGEST:g} to {LARGEST:g}"
    value = real_number(where, given, allowed)
    if abs(value) > LARGEST:
        raise ValueRefusedError(where, shown(given), allowed, "check its unit")
    return value


def from_plain(given: object, hint: Any, where: str) -> Any:
    """Return a field's value from what JSON holds; `hint` is its type, `where` names it in a refusal."""
    hint = _unless_none(hint, given)
    if hint is None:
        return None
    if dataclasses.is_dataclass(hint):
        return from_table(hint, given, where)  # type: ignore[arg-type]
    if hint is float:
        return finite_number(given, where)
    if get_origin(hint) is Literal:
        return _one_of(given, get_args(hint), where)
    if get_origin(hint) is tuple:
        return _items(given, hint, where)
    if type(given) is not hint:
        raise ValueRefusedError(
            where, shown(given), f"allowed is a value of type {hint.__name__}", "correct it there"
        )
    return given


def _one_of(given: object, allowed: tuple[object, ...], where: str) -> object:
    if given not in allowed:
        raise NotAmongError(where, shown(given), allowed)
    return given


def _items(given: object, hint: Any, where: str) -> tuple[Any, ...]:
    hints = _item_hints(hint, len(given)) if isinstance(given, list) else ()
    if not isinstance(given, list) or len(hints) != len(given):
        raise ValueRefusedError(
            where, shown(given), "allowed is a list of the right length", "correct it there"
        )
    return tuple(
        from_plain(one, each, f"{where}[{i}]") for i, (one, each) in enumerate(zip(given, hints, strict=True))
    )


def _item_hints(hint: Any, count: int) -> tuple[Any, ...]:
    args = get_args(hint)
    return (args[0],) * count if args[-1] is Ellipsis else args


def _unless_none(hint: Any, value: object) -> Any:
    """Return what an optional hint stands for: None where the value is None, else the other type."""
    if get_origin(hint) not in (Union, types.UnionType):
        return hint
    others = [one for one in get_args(hint) if one is not type(None)]
    return None if value is None else others[0]
