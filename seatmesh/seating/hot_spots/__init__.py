"""Hot spots: where a sitter is pressed hard, why, and what to carve against it."""
