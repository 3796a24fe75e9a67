"""The tables of a plant file, each with the one plain explanation of every key that it may hold."""
