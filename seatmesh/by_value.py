"""Frozen dataclasses that hold arrays: equal by value, hashable, and their arrays cannot be written."""

from __future__ import annotations

import dataclasses
from collections.abc import Hashable, Mapping
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

T = TypeVar("T")
Array = NDArray[Any]


def by_value(cls: type[T]) -> type[T]:
    """Give a dataclass made with ``frozen=True, eq=False`` equality and a hash by value.

    Arrays are equal where shape and every value are: 0.0 and -0.0 are alike, and so is NaN to NaN, so that an object
    always equals its own copy. Mappings count for equality, not for the hash. Copies and pickles are made by calling
    the class, so that arrays locked in ``__post_init__`` stay locked in another process.
    """
    names = tuple(one.name for one in dataclasses.fields(cls))  # type: ignore[arg-type]

    def equal(self: T, other: object) -> Any:
        if other.__class__ is not self.__class__:
            return NotImplemented
        return self is other or all(_same(getattr(self, name), getattr(other, name)) for name in names)

    def hashed(self: T) -> int:
        return hash((cls.__qualname__, *(_hashable(getattr(self, name)) for name in names)))

    def reduced(self: T) -> tuple[type[T], tuple[Any, ...]]:
        return self.__class__, tuple(getattr(self, name) for name in names)

    for method, name in ((equal, "__eq__"), (hashed, "__hash__"), (reduced, "__reduce__")):
        method.__name__, method.__qualname__ = name, f"{cls.__qualname__}.{name}"
        setattr(cls, name, method)
    return cls


def lock(owner: object, dtype: type, *names: str) -> None:
    """Put locked copies of type `dtype` in the place of a frozen dataclass's arrays; for its ``__post_init__``."""
    for name in names:
        object.__setattr__(owner, name, locked(getattr(owner, name), dtype))


def locked(given: Any, dtype: type) -> Array:
    """Return an array of the same values on memory that nobody can write, not even by asking for it.

    One that is locked already is returned as it is. Numbers that `dtype` would cut short, such as 1.5 as an index,
    raise TypeError.
    """
    if _is_locked(given, dtype):
        return np.asarray(given)
    array = np.asarray(given)
    array = array.astype(dtype, casting="same_kind" if array.size else "unsafe", copy=False)
    return np.frombuffer(array.tobytes(), dtype=array.dtype).reshape(array.shape)


def _is_locked(given: Any, dtype: type) -> bool:
    """Tell whether an array lies on bytes, which never change."""
    # NumPy's pickles come back on bytes, too, but can be written.
    if type(given) is not np.ndarray or given.dtype != np.dtype(dtype) or given.flags.writeable:
        return False
    base = given.base
    while isinstance(base, np.ndarray):
        base = base.base
    return isinstance(base, bytes)


def _same(one: Any, other: Any) -> bool:
    if not (isinstance(one, np.ndarray) and isinstance(other, np.ndarray)):
        return bool(one is other or one == other)
    return np.array_equal(one, other, equal_nan="f" in (one.dtype.kind, other.dtype.kind))


def _hashable(value: Any) -> Hashable:
    if isinstance(value, Mapping):
        return None
    if not isinstance(value, np.ndarray):
        return value  # type: ignore[no-any-return]
    if value.dtype.kind == "f":
        # Zero has two signs and NaN many forms: one of each, so that what is equal has the same bytes.
        value = np.where(np.isnan(value), np.nan, value + 0.0)
    return value.shape, value.tobytes()
