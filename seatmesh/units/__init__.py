"""Lengths and masses as makers write them, in millimetres or in inches with fractions: reading and writing of both."""

from seatmesh.units.known import (
    ALLOWED_UNITS as ALLOWED_UNITS,
)
from seatmesh.units.known import (
    KG_PER_POUND as KG_PER_POUND,
)
from seatmesh.units.known import (
    KG_PER_STONE as KG_PER_STONE,
)
from seatmesh.units.known import (
    MM_PER_FOOT as MM_PER_FOOT,
)
from seatmesh.units.known import (
    MM_PER_INCH as MM_PER_INCH,
)
from seatmesh.units.known import (
    USUAL_UNITS as USUAL_UNITS,
)
from seatmesh.units.reading import (
    parse_length_mm as parse_length_mm,
)
from seatmesh.units.reading import (
    parse_mass_kg as parse_mass_kg,
)
from seatmesh.units.reading import (
    real_number as real_number,
)
from seatmesh.units.reading import (
    shown as shown,
)
from seatmesh.units.writing import (
    column as column,
)
from seatmesh.units.writing import (
    format_area as format_area,
)
from seatmesh.units.writing import (
    format_change as format_change,
)
from seatmesh.units.writing import (
    format_length as format_length,
)
from seatmesh.units.writing import (
    format_mass as format_mass,
)
from seatmesh.units.writing import (
    format_no_less as format_no_less,
)
from seatmesh.units.writing import (
    format_no_more as format_no_more,
)
from seatmesh.units.writing import (
    format_size as format_size,
)
from seatmesh.units.writing import (
    format_volume as format_volume,
)
from seatmesh.units.writing import (
    in_inches as in_inches,
)
from seatmesh.units.writing import (
    in_unit as in_unit,
)
from seatmesh.units.writing import (
    peak_square as peak_square,
)
from seatmesh.units.writing import (
    table_figure as table_figure,
)
from seatmesh.units.writing import (
    wrapped as wrapped,
)
