"""The bench card: one page that a maker works from."""
