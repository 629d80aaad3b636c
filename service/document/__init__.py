"""The OpenAPI document: what FastAPI finds in the routes, with every schema named, shared and described once."""
