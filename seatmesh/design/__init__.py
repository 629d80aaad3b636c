"""The one use case: an order in, a seat with its figures out."""
