"""Long work as jobs: what is to be done, who waits for it, how far it is."""
