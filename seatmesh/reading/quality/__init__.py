"""How good a scan is: what it saw, how wavy it is, and its maps."""
