"""What is told of people on a seat: as one object for programs, and in words."""
