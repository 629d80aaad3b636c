"""How a scan lies: every way to lay it into the frame of its blank, and what speaks for and against each."""
