"""Ways to lay a scan, judged: what speaks for each, whether two make one seat, and what is refused."""
