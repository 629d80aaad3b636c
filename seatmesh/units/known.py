"""Units of length and mass, and how large each is."""

from __future__ import annotations

MM_PER_INCH = 25.4
MM_PER_FOOT = 304.8
INCHES_PER_FOOT, POUNDS_PER_STONE = 12, 14
KG_PER_POUND = 0.45359237
KG_PER_STONE = 14 * KG_PER_POUND

ALLOWED_LENGTH = (
    'allowed are a plain number of mm, or text like 412 mm, 41.2 cm, 41,2 cm, 16.19 in, 16 3/16", 5\' 6 1/2"'
)
ALLOWED_MASS = "allowed are a plain number of kg, or text like 76 kg, 76,2 kg, 168 lb, 12 st, 12 st 4 lb"
ALLOWED_UNITS = ("mm", "in")
TABLE_PARTS = 1000
"""Parts of an inch that tables are written to."""
SAME_PARTS = 1e-4
"""Parts of a step by which a length may miss a whole one and still be that one: a solver's last digits, 0.1 um."""
USUAL_UNITS = "mm"
"""How pictures, sheets and reports speak where no one says otherwise."""
