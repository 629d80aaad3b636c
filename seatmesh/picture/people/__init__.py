"""Pictures of many people on a seat."""
