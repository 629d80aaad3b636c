"""File formats: each one is a file or a folder with its reader and writer."""
