"""A body on a surface: gap, load, balance, and the figures that come of it."""
