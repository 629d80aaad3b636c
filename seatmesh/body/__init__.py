"""Who sits: body measures, what is estimated of them, and the seated body that they make."""
