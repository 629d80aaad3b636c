"""Pictures of a seat and its sitter: contact map, sections, plan, 3D view, depth curve."""
