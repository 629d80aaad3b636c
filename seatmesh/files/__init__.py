"""Files in general: written whole or not at all, and read strictly."""
