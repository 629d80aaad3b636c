"""The gauge itself: the bar, its rests, the crossings and the sheet to read by."""
