"""A cut that went too deep: the nearest fair seat below it."""
