"""A surveyed boiler set in motion: from a case to the loop of ``physics.motion``, and what its run means."""
