"""Many bodies at once: the record of their figures, and where the hollow ends under them."""
