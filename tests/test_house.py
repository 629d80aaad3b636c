"""The house itself: one class name, one meaning, in the library and in the service."""

import ast
from collections import defaultdict
from pathlib import Path

import seatmesh_service

import seatmesh

ROOMS = [Path(str(package.__file__)).parent for package in (seatmesh, seatmesh_service)]


def test_a_class_name_has_one_meaning() -> None:
    where = defaultdict(list)
    for room in ROOMS:
        for file in room.rglob("*.py"):
            for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
                if isinstance(node, ast.ClassDef):
                    where[node.name].append(file.relative_to(room.parent).as_posix())
    assert len(where) > 150
    assert {name: files for name, files in where.items() if len(files) > 1} == {}
