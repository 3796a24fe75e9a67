"""Who is let in, and to do what."""
