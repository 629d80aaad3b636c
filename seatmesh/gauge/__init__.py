"""The rod gauge on a straight bar: its sheet, its readings, what they tell, cuts saved, seats copied."""
