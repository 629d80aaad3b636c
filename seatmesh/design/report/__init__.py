"""What a report says of a seat: as one object, and in words."""
