"""STL: reader and writer."""
