"""Many people on one seat: for whom it is good, whom it fails, and whether more sizes would serve better."""
