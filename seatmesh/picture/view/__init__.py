"""3D views, drawn in a process of their own."""
