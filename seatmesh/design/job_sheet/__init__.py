"""The job sheet for maker and client."""
