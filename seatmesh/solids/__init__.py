"""The carved blank as a closed solid: plan, top face, walls and underside in triangles."""
