"""A boiler in motion: the one loop that every simulation runs."""
