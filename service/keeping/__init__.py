"""What the service keeps: identity of an order, index and folders of seats."""
