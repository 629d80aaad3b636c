"""Many bodies on one seat: batches side by side, their figures, and the record of them."""
