"""Bodies on a seat: contact maps, comparisons, tables of many."""
