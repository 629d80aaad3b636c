"""Wavefront OBJ: reader and writer."""
