"""Marks from a fitting: what a maker measures on the bare blank under a sitter, and what it says of body and place."""
