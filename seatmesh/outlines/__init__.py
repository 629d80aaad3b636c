"""A maker's own outline: from points, or from a drawing in DXF or SVG."""
