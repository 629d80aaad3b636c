"""The sheet of a study of people; matplotlib is loaded here, where it is wanted."""

from __future__ import annotations

from typing import Any

from seatmesh.cautions import IN_SHORT
from seatmesh.people.counted.tally import MASSES_KG, PEAKS_KPA, STATURES_MM
from seatmesh.people.engine.kept_parts import KeptParts
from seatmesh.people.question import survey_limits
from seatmesh.people.study import PeopleStudy
from seatmesh.people.told.report import people_report
from seatmesh.people.told.words import percent
from seatmesh.people.worst import worst_map
from seatmesh.picture.people.people_chart import PeopleDrawn, people_chart
from seatmesh.picture.style import Target


def draw_people(study: PeopleStudy, parts: KeptParts, target: Target) -> None:
    """Draw a study whose parts are at hand, and write the sheet as PNG."""
    facts: dict[str, Any] = people_report(study)
    seat, tally = study.question.at_a_height, study.tally
    worst = worst_map(seat, parts.tables(), facts["peak_kpa"]["q90"])
    low, high = facts["interval_95"]
    people_chart(
        PeopleDrawn(
            title=f"{seat.title}: serves {percent(facts['served_share'])}",
            beneath=(
                f"of {facts['public']['words']}; {facts['count']:,} people drawn, {percent(low)} to {percent(high)} "
                "with 95 % certainty of the drawing"
            ),
            statures_mm=STATURES_MM,
            masses_kg=MASSES_KG,
            weight=tally.by_build[0],
            served=tally.by_build[1],
            people=tally.by_build[2],
            limits=survey_limits(),
            peaks_kpa=PEAKS_KPA,
            by_peak=tally.by_peak,
            blank=seat.blank,
            x_mm=worst.x_mm,
            y_mm=worst.y_mm,
            pressure_kpa=worst.pressure_kpa,
            worst_words=f"The worst-off tenth, {worst.above_kpa:.0f} kPa up: mean of {worst.people}",
            caution=IN_SHORT,
        ),
        target,
        units=seat.units,
    )
