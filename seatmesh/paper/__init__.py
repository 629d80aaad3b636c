"""Drawings at full size as plain data, paper sizes, pages, and their writers: PDF, DXF, SVG."""
