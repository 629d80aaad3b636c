"""How sure the figures of a sitting are, and which measure to take next."""
