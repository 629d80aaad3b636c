"""Fairness: undulations, and the least smoothing that leaves none."""
