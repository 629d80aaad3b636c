"""GLB: reader and writer."""
