"""STEP: the carved seat as an exact CAD solid."""
