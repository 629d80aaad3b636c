"""Mock-ups for a printer: a seat at a scale, cut to the bed; a sitter's underside; a shell to try out."""
