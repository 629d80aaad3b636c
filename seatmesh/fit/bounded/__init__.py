"""Splines inside bounds: the quadratic programme, what bounds a hollow, and what the bounds cost."""
