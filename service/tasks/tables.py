"""Tables in open formats: rows of plain values as CSV, Parquet or JSON."""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from typing import Any

from seatmesh.errors import FileRefusedError
from seatmesh.files.csv_table import csv_text

from .plain import json_bytes

FORMS = ("json", "csv", "parquet")
Columns = Mapping[str, type]
"""The columns of a table by name, each of `str`, `float`, `int` or `bool`."""


def table_bytes(columns: Columns, rows: Sequence[Mapping[str, Any]], form: str) -> bytes:
    """Return a table of one of `FORMS`; a value that a row does not have is empty.

    Raises
    ------
    FileRefusedError
        Parquet is asked for and its library is not installed.
    """
    if form == "json":
        return json_bytes({"rows": [{name: row.get(name) for name in columns} for row in rows]})
    if form == "csv":
        return csv_text(
            tuple(columns), ([_written(row.get(name)) for name in columns] for row in rows)
        ).encode()
    return _parquet(columns, rows)


def _written(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    return f"{value:.6g}" if isinstance(value, float) else str(value)


def _parquet(columns: Columns, rows: Sequence[Mapping[str, Any]]) -> bytes:
    try:
        import pyarrow as pa  # noqa: PLC0415 - an extra
        from pyarrow import parquet  # noqa: PLC0415
    except ImportError as error:
        raise FileRefusedError(
            "Parquet needs pyarrow: pip install '.[tables]' where the service's source is; or take csv"
        ) from error
    kinds = {str: pa.string(), float: pa.float64(), int: pa.int64(), bool: pa.bool_()}
    table = pa.table(
        {name: pa.array([row.get(name) for row in rows], kinds[kind]) for name, kind in columns.items()}
    )
    out = io.BytesIO()
    parquet.write_table(table, out)
    return out.getvalue()
