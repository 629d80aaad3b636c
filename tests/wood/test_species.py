"""Woods: every figure of the table against the rows of the handbook, stand-ins named, own values taken or refused."""

import re
from pathlib import Path

import pytest

from seatmesh.errors import ValueRefusedError
from seatmesh.wood.elastic_ratios import IN_PLACE_OF, RATIOS, ratios_of
from seatmesh.wood.species import species_named, wood_named
from seatmesh.wood.species_rows import NAMES, ROWS
from seatmesh.woodwork.floor.orthotropic import stiffness_mpa

SOURCES = Path(__file__).parents[2] / "seatmesh" / "guide" / "sources.md"
OURS = {**NAMES, "yellow-poplar": "yellow poplar", "black walnut": "walnut"}
# W3: Wood Handbook, FPL-GTR-190 (2010), table 13-5, dimensional change coefficients, radial / tangential.
W3 = {
    "ash": (0.00169, 0.00274), "basswood": (0.00230, 0.00330), "cherry": (0.00126, 0.00248),
    "elm": (0.00144, 0.00338), "hard maple": (0.00165, 0.00353), "white oak": (0.00180, 0.00365),
    "walnut": (0.00190, 0.00274), "butternut": (0.00116, 0.00223), "beech": (0.00190, 0.00431),
    "pine": (0.00071, 0.00212), "yellow birch": (0.00256, 0.00338), "red oak": (0.00158, 0.00369),
}  # fmt: skip
# W4: same handbook, shrinkage from green to oven-dry, percent, radial / tangential; C = (S/30)/(100 - 2S/3).
W4 = {
    "basswood": (6.6, 9.3), "walnut": (5.5, 7.8), "cherry": (3.7, 7.1), "ash": (4.9, 7.8), "elm": (4.2, 9.5),
    "butternut": (3.4, 6.4), "yellow poplar": (4.6, 8.2),
}  # fmt: skip
# W5: same handbook, table 5-3 at 12 %: specific gravity, MOR MPa, MOE GPa, tension across MPa.
W5 = {
    "yellow poplar": (0.42, 70, 10.9, 3.7), "basswood": (0.37, 60, 10.1, 2.4), "pine": (0.35, 59, 8.5, 2.1),
    "walnut": (0.55, 101, 11.6, 4.8), "cherry": (0.50, 85, 10.3, 3.9), "white oak": (0.68, 105, 12.3, 5.5),
    "ash": (0.60, 103, 12.0, 6.5), "elm": (0.50, 81, 9.2, 4.6), "butternut": (0.38, 56, 8.1, 3.0),
    "hard maple": (0.63, 109, 12.6, None),
    # W8: read in copies of the same table.
    "beech": (0.64, 103, 11.9, 7.0), "red oak": (0.63, 99, 12.5, 5.5), "yellow birch": (0.62, 114, 13.9, 6.3),
}  # fmt: skip


@pytest.mark.parametrize("name", ROWS)
def test_coefficients_of_movement_are_those_of_table_13_5(name):
    row = ROWS[name]
    if name in W3:
        assert (row.radial, row.tangential) == W3[name]
    if name in W4:
        made = [(s / 30.0) / (100.0 - 2.0 * s / 3.0) for s in W4[name]]
        assert (row.radial, row.tangential) == pytest.approx(made, abs=6e-6)
    assert name in W3 or name in W4


@pytest.mark.parametrize("name", ROWS)
def test_strengths_are_those_of_table_5_3(name):
    row = ROWS[name]
    assert (row.specific_gravity, row.bending_mpa, row.stiffness_gpa, row.across_mpa) == W5[name]


def test_the_guide_shows_the_same_rows():
    text = SOURCES.read_text("utf-8")
    w3 = next(line for line in text.splitlines() if line.startswith("| W3 |"))
    for found, radial, tangential in re.findall(r"([a-zA-Z -]+) (\.\d{5})/(\.\d{5})", w3):
        name = found.strip(" ,").lower()
        row = ROWS[OURS.get(name, name)]
        assert (row.radial, row.tangential) == (float(radial), float(tangential)), name
    w5 = next(line for line in text.splitlines() if line.startswith("| W5 |"))
    rows = re.findall(r"([a-z -]+) (\.\d\d) (\d+) ([\d.]+) ([\d.]+|-)[;.|]?", w5.lower())
    assert len(rows) >= 10
    for found, gravity, mor, moe, across in rows:
        name = found.strip(" ;|")
        row = ROWS[OURS.get(name, name)]
        assert (row.specific_gravity, row.bending_mpa, row.stiffness_gpa) == (
            float(gravity),
            float(mor),
            float(moe),
        )
        assert row.across_mpa == (None if across == "-" else float(across)), name


def test_an_unknown_strength_is_said_and_a_stand_in_is_named():
    maple = species_named("sugar maple")
    assert ROWS["hard maple"].across_mpa is None
    assert maple.across_mpa == 4.6
    assert any("unknown for sugar maple" in note and "black maple" in note for note in maple.notes)
    own = species_named("sugar maple", {"across_mpa": 6.0})
    assert own.across_mpa == 6.0
    assert own.notes == ()


def test_elastic_ratios_that_nobody_tabled_say_whose_they_are():
    for name, other in IN_PLACE_OF.items():
        ratios = ratios_of(name)
        assert "unknown" in ratios.source
        assert other in ratios.source
        assert ratios.e_r == RATIOS[other].e_r
    # Read in a copy of the handbook's tables 5-1 and 5-2: sugar maple.
    maple = RATIOS["hard maple"]
    assert (maple.e_r, maple.e_t, maple.g_lr, maple.g_lt) == (0.132, 0.065, 0.111, 0.063)
    assert (maple.lr, maple.lt, maple.rt) == (0.424, 0.476, 0.774)
    oak = RATIOS["white oak"]
    assert (oak.e_r, oak.e_t, oak.g_lr) == (0.163, 0.072, 0.086)


@pytest.mark.parametrize("name", ROWS)
def test_every_wood_is_a_solid_that_stores_energy(name):
    stiffness = stiffness_mpa(species_named(name))
    assert stiffness.shape == (6, 6)
    assert stiffness[0, 0] > 8_000.0


def test_other_names_mean_the_same_wood():
    assert species_named("Black  Walnut") == species_named("walnut")
    assert wood_named("white ash").name == "ash"


def test_a_wood_of_the_makers_own_comes_with_its_values():
    with pytest.raises(
        ValueRefusedError, match=r"species = 'teak'.*density_kg_m3, radial_per_percent, tangential"
    ):
        species_named("teak")
    teak = species_named(
        "teak", {"density_kg_m3": 655.0, "radial_per_percent": 0.00101, "tangential_per_percent": 0.00186}
    )
    assert teak.density_kg_m3 == 655.0
    assert "not known of it: strength in bending" in teak.notes[0]
    with pytest.raises(ValueRefusedError, match="moves less along its rays"):
        species_named(
            "teak", {"density_kg_m3": 655, "radial_per_percent": 0.003, "tangential_per_percent": 0.002}
        )


def test_a_mistyped_wood_is_guessed_and_a_strange_one_is_not():
    with pytest.raises(
        ValueRefusedError, match=r"'chery': known are ash, .*; did you mean 'cherry'\? Else choose one"
    ):
        species_named("chery")
    with pytest.raises(
        ValueRefusedError, match=r"'teak': known are ash, .*; choose one of them, or give this wood"
    ):
        species_named("teak")
