"""Keys of the files that a maker writes: a record for each, and tables of them that are read in one pass."""
