"""Many bodies on one seat: the figures of a batch of them, and batches side by side."""
