"""A rigid body pressed through a soft bed onto a rigid surface: arrays and a pressure law, no more."""

from seatmesh.contact.balancing import balance as balance
from seatmesh.contact.balancing import balance_all as balance_all
from seatmesh.contact.posed import ARM_MM as ARM_MM
from seatmesh.contact.posed import Balances as Balances
from seatmesh.contact.posed import Layer as Layer
from seatmesh.contact.posed import Load as Load
from seatmesh.contact.posed import Pose as Pose
from seatmesh.contact.posed import unknowns as unknowns
