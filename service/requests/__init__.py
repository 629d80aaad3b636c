"""How requests are taken in: guard, limits, bodies, connections."""
