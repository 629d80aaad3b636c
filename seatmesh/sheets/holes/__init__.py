"""Depth holes: where they stand, how deep, and with which bit."""
