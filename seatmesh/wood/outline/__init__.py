"""Outlines of a blank: in a word, from points, or from a drawing in DXF or SVG."""
