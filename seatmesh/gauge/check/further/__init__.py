"""What to do next at the bench: where to cut, and which readings would decide."""
