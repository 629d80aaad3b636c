"""The stages of a rough-out: wood to take, and what the sheet of each says."""
