"""Meshes are written no slower than by the fastest general library, measured in turn in one run."""

from __future__ import annotations

import pytest
from test_formats import ratios

pytestmark = pytest.mark.slow


def test_no_general_library_writes_faster() -> None:
    found = dict(ratios())
    assert set(found) == {"STL", "PLY", "GLB", "OBJ", "3MF"}
    assert max(found.values()) <= 1.0
