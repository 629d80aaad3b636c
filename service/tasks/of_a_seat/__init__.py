"""Tasks on a kept seat: each takes the seat and plain values, and returns the bytes of a file."""
