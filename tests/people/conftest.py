import importlib
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
made_people = importlib.import_module("made_people")


@pytest.fixture
def formula(monkeypatch):
    """Press people by a formula."""
    monkeypatch.setattr("seatmesh.people.table.press_people", made_people.by_formula)
