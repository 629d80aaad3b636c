"""Plans of the blank and of a sitter on it."""
