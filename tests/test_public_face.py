"""What `import seatmesh` offers: names that are pinned, typed and listed by `help`, and cost nothing until used."""

import ast
import os
import pkgutil
import pydoc
import subprocess
import sys
from pathlib import Path

import pytest

import seatmesh

# Programs and checks of others rely on these; one that goes, or gets another name, stands in the change log.
NAMES = """
Adjustment AsDrawn BicubicSpline Bit Blank Board Body Carved Chair Copied Ending Entry Extras Figures
FileRefusedError Format Gauge GaugeCheck GaugeSheet Gouge Habit HoleWishes InputError Joint LoadPoint LoadShare
Mark Measure Mesh MissingKeyError NotAmongError NotSolvedError Order OrderedSitter RimPlane RimPoints Row Saved
Seat SeatmeshError SheetWishes Sheets Sitting Solution Study Tool UnknownKeyError ValueRefusedError Wishes
WoodStudy WoodWishes adapted check_readings copy_seat depths_csv estimate_body extents_mm faults flat_seat
formats_read formats_written gauge_report gauge_sheet is_closed mesh_bytes read_bit read_body read_carved
read_order read_readings read_seat save_cut shape_seat sheet_csv sheet_text sheets_of sit solid species_named
stage study volume_mm3 wood_study write_height_map write_mesh write_seat write_step
"""
PINNED = NAMES.split()


def test_the_names_are_pinned():
    assert sorted(seatmesh.__all__) == PINNED


def test_every_name_is_loaded_from_where_it_lives():
    for name in PINNED:
        assert getattr(seatmesh, name).__name__ == name
        assert getattr(seatmesh, name).__module__.startswith("seatmesh.")


def test_no_name_is_that_of_a_module():
    # Importing such a module would put it in the place of the public name.
    assert not {one.name for one in pkgutil.iter_modules(seatmesh.__path__)} & set(PINNED)


def test_type_checkers_are_told_the_same_names_and_modules():
    tree = ast.parse(Path(seatmesh.__file__).read_text(encoding="utf-8"))
    guarded = next(one for one in tree.body if isinstance(one, ast.If))
    told = {
        (f"seatmesh.{seatmesh._HOME[alias.asname]}", alias.name) == (one.module, alias.asname)
        and alias.asname
        for one in guarded.body
        for alias in one.names
    }
    assert told == set(PINNED)


def test_help_and_dir_list_every_name():
    assert set(PINNED) <= set(dir(seatmesh))
    text = pydoc.plain(pydoc.render_doc(seatmesh))
    overview, _, details = text.partition("PACKAGE CONTENTS")
    for name in PINNED:
        assert name in overview
        assert f"class {name}(" in details or f"\n    {name}(" in details, name


def test_importing_costs_nothing():
    heavy = (
        "import seatmesh, sys; print(sorted({'numpy', 'scipy', 'matplotlib', 'shapely'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", heavy], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_another_name_is_none():
    with pytest.raises(AttributeError, match="no attribute 'shape_seats'"):
        _ = seatmesh.shape_seats


@pytest.mark.slow
def test_strict_type_checking_sees_the_types(tmp_path):
    script = tmp_path / "script.py"
    lines = [
        "from seatmesh import Gauge, estimate_body, flat_seat, gauge_sheet, sit",
        'peak: float = sit(estimate_body("male", 1740, 69), flat_seat()).figures.peak_kpa',
        "count: int = len(gauge_sheet(flat_seat(), 50.0, Gauge(60.0)).crossings)",
        "wrong: str = sit.__name__ + flat_seat()",
        "from seatmesh import shape_seats",
        'gone = sit(estimate_body("male", 1740, 69), flat_seat()).figures.peak_kpaa',
    ]
    script.write_text("\n".join(lines) + "\n")
    done = subprocess.run(
        [
            sys.executable,
            "-m",
            "mypy",
            "--strict",
            "--no-error-summary",
            "--ignore-missing-imports",
            "--follow-imports=silent",
            str(script),
        ],
        capture_output=True,
        text=True,
        check=False,
        cwd=tmp_path,
        env={**os.environ, "MYPYPATH": str(Path(seatmesh.__file__).parents[1])},
    )
    assert [line.split(":")[1] for line in done.stdout.splitlines() if ": error:" in line] == ["4", "5", "6"]
