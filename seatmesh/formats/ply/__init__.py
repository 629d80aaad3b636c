"""PLY: reader and writer."""
