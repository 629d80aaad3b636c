"""The floor: bending of the carved blank on its legs, by finite elements."""
