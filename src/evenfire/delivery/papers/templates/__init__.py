"""Templates of the papers."""
