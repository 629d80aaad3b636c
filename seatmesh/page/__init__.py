"""Drawings at full size as plain data, papers, pages, and their writers: PDF, DXF, SVG."""
