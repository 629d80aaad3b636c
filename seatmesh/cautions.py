"""Cautions that belong on everything that guides work or states pressure."""

PRESSURE = (
    "Pressure figures compare shapes for healthy adults; they are not medical advice. Anyone with reduced sensation "
    "or skin at risk needs a seating clinician."
)
STRENGTH = (
    "A seat must hold its sitter: the floor is a guide, not a proof. Test it as the local furniture standard asks, "
    "and defer to local codes and qualified people."
)
CUTTERS = (
    "Powered cutters injure: keep the guard on and both hands on the tool, protect eyes, ears and lungs, and follow "
    "the tool's manual."
)
GAUGING = (
    "Switch the cutter off, let it stop and clear dust from the wood before gauging. "
    + CUTTERS
    + " "
    + STRENGTH
)
"""Stands on what is read at the bench."""
IN_SHORT = "Figures are estimates for comparing shapes, not medical advice; a seat's strength is for qualified people."
INTERVALS = (
    "The 90 % intervals hold what is not known of the sitter and how far the model may be off by its own checks; no "
    "sitter was measured for them."
)
"""Stands wherever such an interval of pressure, area or place is stated."""
BY_NAME = {"pressure": PRESSURE, "strength": STRENGTH, "cutters": CUTTERS}
CAUTIONS = tuple(BY_NAME.values())
