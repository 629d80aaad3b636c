"""The rod gauge on a straight bar: what it should read, what readings tell of the wood, and what to do next."""
