"""Soft tissue under the sit bones, which no tape can take: a muscle share and a fat share, each from what is published.

    thickness = a (lean mass / stature)^(1/2) + k L,    L = fat mass / (density of fat x surface of the body)

The fat share goes with L, how thick all fat would lie if it were spread evenly over the skin. The back of the buttocks
gains 3 mm of fat for each unit of BMI in men and 4 mm in women (B14), which is 3.9 and 4.7 times what L gains. Bending
the hip thins what lies over the sit bone to 0.54 of itself (B15), which leaves 2.1 to 2.5 times. Between that and an
even spread, 1, k is taken as 1.5 +/- 0.6, our own judgement. The muscle share goes with the root of lean mass over
stature, as a breadth of muscle of one length does; a is such that a usual man (`ANCHOR`) has the 39.9 mm that B4 gives
for one man (mean of its regions of 20 and 50 mm).

Body fat is that of B13, always taken at 30 years: with age fat gathers inside, while that on the buttocks gains little
in men (B14) and in 133 women nothing that could be seen (magnetic resonance, 2022, PubMed 35181990, abstract).
"""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np
from numpy.typing import ArrayLike

from seatmesh.arrays import Floats
from seatmesh.body.body import Measure, Sex
from seatmesh.body.survey.mixture import Mixture

TISSUE = "tissue_under_sit_bone_mm"
TISSUE_BAND_MM = (25.0, 110.0)
"""Plausible without load. B6 ends at 60 mm; people of a BMI above 35, of whom it knows nothing, may have more: it
ends where what may be given ends."""
FAT_PER_LAYER = 1.5
FAT_PER_LAYER_ERROR = 0.6
"""k and its standard error: see above."""
PERSON_ERROR_MM = 6.0
"""Standard deviation between people of like fat and muscle. Loaded, 35 people spread from 5.6 to 32.1 mm (B5), most of
them in wheelchairs; healthy ones are taken to spread half as much. Own judgement."""
FAT_DENSITY_KG_PER_MM_M2 = 0.9
"""Mass of 1 mm of fat over 1 m2, kg."""
FAT_PERCENT_ERROR = 4.1
"""Standard error of the equation for body fat, % of body mass."""
FAT_BAND_PERCENT = (5.0, 60.0)
"""What adults carry, from memory; beyond it the equation says what nobody has."""
AGE_OF_FAT = 30.0
ANCHOR: tuple[Sex, float, float] = ("male", 1750.0, 70.0)
"""Sex, stature, mm, and mass, kg, of the man of B4; his source states none that we could read."""
ANCHOR_TISSUE_MM = 39.9


def body_fat_percent(sex: Sex, stature_mm: ArrayLike, mass_kg: ArrayLike) -> Floats:
    """Return the share of fat in the mass of adults of 30 years, %."""
    bmi = np.asarray(mass_kg, dtype=float) / (np.asarray(stature_mm, dtype=float) / 1000.0) ** 2
    expected = 1.20 * bmi + 0.23 * AGE_OF_FAT - 10.8 * (sex == "male") - 5.4
    return np.clip(expected, *FAT_BAND_PERCENT)


def skin_area_m2(stature_mm: ArrayLike, mass_kg: ArrayLike) -> Floats:
    """Return the surface of the body by DuBois and DuBois 1916; from memory."""
    height_cm = np.asarray(stature_mm, dtype=float) / 10.0
    return np.asarray(0.007184 * np.asarray(mass_kg, dtype=float) ** 0.425 * height_cm**0.725)


def _layer_of_mass(stature_mm: ArrayLike, mass_kg: ArrayLike, fat_percent: ArrayLike) -> Floats:
    """Return how thick the fat would lie if it were spread evenly over the skin, mm."""
    fat_kg = np.asarray(fat_percent, dtype=float) / 100.0 * np.asarray(mass_kg, dtype=float)
    return np.asarray(fat_kg / FAT_DENSITY_KG_PER_MM_M2 / skin_area_m2(stature_mm, mass_kg))


def fat_layer_mm(sex: Sex, stature_mm: ArrayLike, mass_kg: ArrayLike) -> Floats:
    """Return L of people of a sex: their fat spread evenly over the skin, mm."""
    return _layer_of_mass(stature_mm, mass_kg, body_fat_percent(sex, stature_mm, mass_kg))


def _muscle_root(sex: Sex, stature_mm: ArrayLike, mass_kg: ArrayLike) -> Floats:
    """Return the root of lean mass over stature, (kg/m)^(1/2)."""
    lean_kg = (1.0 - body_fat_percent(sex, stature_mm, mass_kg) / 100.0) * np.asarray(mass_kg, dtype=float)
    return np.asarray(np.sqrt(np.maximum(lean_kg, 0.0) / (np.asarray(stature_mm, dtype=float) / 1000.0)))


_ANCHOR_LAYER_MM = float(fat_layer_mm(*ANCHOR))
MUSCLE_PER_ROOT = (ANCHOR_TISSUE_MM - FAT_PER_LAYER * _ANCHOR_LAYER_MM) / float(_muscle_root(*ANCHOR))
"""a of the rule above, mm / (kg/m)^(1/2)."""


def expected_tissue_mm(sex: Sex, stature_mm: ArrayLike, mass_kg: ArrayLike) -> Floats:
    """Return the unloaded thickness expected under the sit bones of people, arrays alike, mm."""
    muscle = MUSCLE_PER_ROOT * _muscle_root(sex, stature_mm, mass_kg)
    return np.clip(muscle + FAT_PER_LAYER * fat_layer_mm(sex, stature_mm, mass_kg), *TISSUE_BAND_MM)


def tissue_error_mm(sex: Sex, stature_mm: ArrayLike, mass_kg: ArrayLike) -> Floats:
    """Return the standard error of `expected_tissue_mm`, mm: it grows the fatter people are.

    Person to person, the error of the body fat, and that of k away from the man whom the rule was fitted to.
    """
    away = fat_layer_mm(sex, stature_mm, mass_kg) - _ANCHOR_LAYER_MM
    of_fat = FAT_PER_LAYER * _layer_of_mass(stature_mm, mass_kg, FAT_PERCENT_ERROR)
    return np.asarray(np.sqrt(PERSON_ERROR_MM**2 + of_fat**2 + (FAT_PER_LAYER_ERROR * away) ** 2))


def estimate_tissue(weights: Mapping[Sex, float], stature_mm: float, mass_kg: float) -> Measure:
    """Return the tissue under the sit bones of a person who is of each sex with the given weight."""
    expected = [float(expected_tissue_mm(sex, stature_mm, mass_kg)) for sex in weights]
    errors = [float(tissue_error_mm(sex, stature_mm, mass_kg)) for sex in weights]
    return Mixture(np.array(list(weights.values())), np.array(expected), np.array(errors)).measure()


def surprise(tissue: Measure, sex: Sex, stature_mm: float, mass_kg: float) -> float:
    """Return by how many standard errors a given thickness lies above what is expected of the person."""
    expected = float(expected_tissue_mm(sex, stature_mm, mass_kg))
    own = float(tissue_error_mm(sex, stature_mm, mass_kg))
    return (tissue.value - expected) / math.hypot(own, tissue.standard_error)
