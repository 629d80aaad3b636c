"""The folder of a job: which one it is, whose it is, and how files come into it."""
