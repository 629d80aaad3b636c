"""What readings tell: wood to take, ripples, left against right, where to cut next."""
