"""Sections through a seat with the sitter on it."""
