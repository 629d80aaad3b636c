"""Soft tissue between bone and seat: what holds it, and how hard it pushes back, place by place."""

from seatmesh.tissue.backing import LAST_COMPRESSION as LAST_COMPRESSION
from seatmesh.tissue.backing import Backing as Backing
from seatmesh.tissue.backing import even_layer as even_layer
from seatmesh.tissue.law import TISSUE as TISSUE
from seatmesh.tissue.law import TissueBed as TissueBed
from seatmesh.tissue.law import TissueLaw as TissueLaw
