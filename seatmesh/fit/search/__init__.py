"""The search for the hollow that presses least."""
