"""How flat the underside of buttocks and upper thighs is, unpressed: 100 % is the usual radius for the measures.

No study that we could read gives that radius of healthy people who are not pressed. Pressed on even foam, the skin
under the sit bones of wheelchair users had a radius of 91.5 mm, of those with earlier sores 65.9 mm (B16): a factor of
1.39 between the means of two groups. People of one group are taken to spread by half of that; our own judgement. The
usual radius itself follows from hip breadth and thighs, so a broader body is flatter already; it was chosen so that a
usual man's contact area is near that of S3.
"""

from __future__ import annotations

from seatmesh.body.body import Measure

FLATNESS = "underside_flatness_percent"
USUAL_PERCENT = 100.0
FLATNESS_ERROR_PERCENT = 20.0
"""Standard deviation between people of like measures."""


def usual_flatness() -> Measure:
    """Return what is expected of a person of whom nobody stated it."""
    return Measure(USUAL_PERCENT, FLATNESS_ERROR_PERCENT, "estimated")
