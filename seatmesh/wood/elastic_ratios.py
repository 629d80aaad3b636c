"""How stiff wood is across its grain and in shear, over its stiffness along it: what bending of a floor depends on.

From the Wood Handbook (FPL-GTR-190, tables 5-1 and 5-2). Those of hard maple, white oak and red oak were read in a
copy of its tables; those of ash, basswood, cherry, walnut, yellow birch and yellow poplar were written down from memory
of the same tables. A wood that is not in them takes the ratios of another wood, and its source names that one.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

RT_STAND_IN = 0.017
"""Shear in the plane of the end grain where the table has none: yellow birch's; known are 0.011 to 0.021."""
BENDING_TO_ALONG = 1.10
"""Stiffness along the grain over stiffness in bending: a bending test measures shear too, and comes out a tenth too low
(same handbook, chapter 5)."""


@dataclass(frozen=True)
class ElasticRatios:
    """Moduli over that along the grain, and Poisson ratios; l along the grain, r along a ray, t along a ring.

    `lr` is the strain along r over that along l when pulled along l.
    """

    e_r: float
    e_t: float
    g_lr: float
    g_lt: float
    g_rt: float
    lr: float
    lt: float
    rt: float
    source: str


READ = "Wood Handbook, tables 5-1 and 5-2, read in a copy"
MEMORY = "Wood Handbook, tables 5-1 and 5-2, from memory"

RATIOS: Mapping[str, ElasticRatios] = {
    "ash": ElasticRatios(0.125, 0.080, 0.109, 0.077, RT_STAND_IN, 0.371, 0.440, 0.684, MEMORY),
    "basswood": ElasticRatios(0.066, 0.027, 0.056, 0.046, RT_STAND_IN, 0.364, 0.406, 0.912, MEMORY),
    "beech": ElasticRatios(
        0.152, 0.063, 0.0737, 0.0488, 0.0160, 0.502, 0.705, 0.526,
        "European beech in place of American: J Wood Sci 65 (2019), 10.1186/s10086-019-1794-4, table 1, read",
    ),
    "cherry": ElasticRatios(0.197, 0.086, 0.147, 0.097, RT_STAND_IN, 0.392, 0.428, 0.695, MEMORY),
    "hard maple": ElasticRatios(0.132, 0.065, 0.111, 0.063, RT_STAND_IN, 0.424, 0.476, 0.774, READ),
    "pine": ElasticRatios(
        0.078, 0.038, 0.052, 0.048, 0.005, 0.329, 0.344, 0.410, f"western white pine in place of eastern: {MEMORY}"
    ),
    "red oak": ElasticRatios(0.154, 0.082, 0.089, 0.081, RT_STAND_IN, 0.350, 0.448, 0.560, READ),
    "walnut": ElasticRatios(0.106, 0.056, 0.085, 0.062, 0.021, 0.495, 0.632, 0.718, MEMORY),
    "white oak": ElasticRatios(
        0.163, 0.072, 0.086, 0.081, RT_STAND_IN, 0.369, 0.428, 0.618, f"{READ}; shear of red oak along the rings"
    ),
    "yellow birch": ElasticRatios(0.078, 0.050, 0.074, 0.068, 0.017, 0.426, 0.451, 0.697, MEMORY),
    "yellow poplar": ElasticRatios(0.092, 0.043, 0.075, 0.069, 0.011, 0.318, 0.392, 0.703, MEMORY),
}  # fmt: skip
IN_PLACE_OF: Mapping[str, str] = {"butternut": "walnut", "elm": "ash"}
"""Woods whose ratios are in no table, each with the wood whose ratios it takes."""
ANY = "hard maple"
"""The wood whose ratios a wood of the maker's own takes."""


def ratios_of(name: str) -> ElasticRatios:
    """Return the ratios of a wood; of one that has none those that stand in, which `source` says."""
    if name in RATIOS:
        return RATIOS[name]
    other = IN_PLACE_OF.get(name, ANY)
    own = RATIOS[other]
    fields = (own.e_r, own.e_t, own.g_lr, own.g_lt, own.g_rt, own.lr, own.lt, own.rt)
    return ElasticRatios(*fields, source=f"unknown for {name}; those of {other} stand in ({own.source})")
