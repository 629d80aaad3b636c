"""The contact map and its pressure scale."""
