"""Whether a limit acts where it should: the trip test, its doubt, what could decide it, and when it comes due again."""
