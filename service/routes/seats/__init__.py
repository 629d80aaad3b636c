"""Routes below /seats: a seat is shaped from an order, and everything that is made of it has a file here."""
