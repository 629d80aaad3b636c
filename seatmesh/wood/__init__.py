"""The wood: the blank, its outline, deck and joints, and what must stay of it."""
