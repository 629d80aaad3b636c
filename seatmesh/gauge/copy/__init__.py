"""A seat carved by feel, from its readings."""
