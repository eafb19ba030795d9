"""Learning the weights of the background guess, and the table of how far to trust it."""
