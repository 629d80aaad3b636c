"""Routes, one resource a file: parse, call one function, format."""
