"""Readings: from a file, laid on a seat, and refused where they cannot be meant."""
