"""The gauge sheet as pages to write on with a pencil."""
