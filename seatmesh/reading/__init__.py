"""Reading back: a carved or scanned seat from a file becomes a seat again, with residual and coverage."""
