"""Boards: how they lie in the blank, their rings, how they move, and the plank they come from."""
