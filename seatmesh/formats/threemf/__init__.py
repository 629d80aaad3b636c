"""3MF: reader and writer."""
