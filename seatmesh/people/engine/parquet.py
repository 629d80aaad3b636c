"""All people as one table in Parquet, a group of rows for each part: never more than one part in memory."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Any, BinaryIO

from seatmesh.errors import FileRefusedError
from seatmesh.files.whole_or_nothing import atomic_path
from seatmesh.people.table import COLUMNS, PeopleTable

WHOLE = ("number",)
YES_OR_NO = ("woman", "balanced")


def check_parquet() -> None:
    """Refuse where the library is not installed, before anybody is seated."""
    _pyarrow()


def write_parquet(path: Path, tables: Iterable[PeopleTable]) -> None:
    """Write the rows of all parts, in order; whole or not at all."""
    with atomic_path(path) as lent:
        put_parquet(lent, tables)


def put_parquet(target: Path | BinaryIO, tables: Iterable[PeopleTable]) -> None:
    """Write the rows of all parts, in order, to a path or an open file."""
    pa, parquet = _pyarrow()
    kinds = {name: pa.float64() for name in COLUMNS}
    kinds |= dict.fromkeys(WHOLE, pa.int64()) | dict.fromkeys(YES_OR_NO, pa.bool_())
    schema = pa.schema(list(kinds.items()))
    with parquet.ParquetWriter(target, schema) as writer:
        for table in tables:
            # A figure that is not there is empty, not "not a number".
            arrays = [
                pa.array(table.of(name) > 0.5)
                if name in YES_OR_NO
                else pa.array(table.of(name), from_pandas=True).cast(kind)
                for name, kind in kinds.items()
            ]
            writer.write_table(pa.table(arrays, schema=schema))


def _pyarrow() -> tuple[Any, Any]:
    try:
        import pyarrow as pa  # noqa: PLC0415 - an extra
        from pyarrow import parquet  # noqa: PLC0415
    except ImportError as error:
        raise FileRefusedError(
            "Parquet needs pyarrow: pip install '.[people]' where the source is; or leave --to out"
        ) from error
    return pa, parquet
