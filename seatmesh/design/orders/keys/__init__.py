"""Every key of an order, one file for each table: a new key is one record there, and the code that uses it."""
