"""The fitting log: adjustments after a fitting, kept in the order file."""
