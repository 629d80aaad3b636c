"""A set of seats for a public: the best one, and whether two, three or four sizes would serve better."""
