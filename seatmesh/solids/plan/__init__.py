"""The plan of a seat in triangles: rings, chains of edges, refinement."""
