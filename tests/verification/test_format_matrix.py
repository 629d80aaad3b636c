"""Every format is right in every reader that is installed."""

from __future__ import annotations

import warnings

import pytest
from format_matrix import FORMS, Row, rows, usual_seat


@pytest.fixture(scope="module")
def table() -> list[Row]:
    with warnings.catch_warnings():
        # What readers warn of is their own: meshio's guess at text or binary overflows, VTK's loader is deprecated.
        warnings.simplefilter("ignore")
        # Round corners take the CAD kernel ten times as long.
        return list(rows(usual_seat("straight-sided"), 0.3))


def test_every_row_is_right(table: list[Row]) -> None:
    assert [row for row in table if not row.right and not row.is_missing] == []


def test_every_format_was_read_by_two_readers_at_least(table: list[Row]) -> None:
    for form in [*FORMS, "height PNG"]:
        assert sum(row.right for row in table if row.form == form) >= 2
