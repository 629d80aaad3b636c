"""Lists of points: text, PCD, and very many of either or of PLY."""
