"""What a survey of body measures says of the measures that nobody took."""
