"""Orders: every key, how it is read, and what contradicts what."""
