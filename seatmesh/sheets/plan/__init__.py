"""The plan at full size."""
