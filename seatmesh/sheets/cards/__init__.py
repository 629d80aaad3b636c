"""Section cards: where they stand, their shape, and how they are drawn."""
