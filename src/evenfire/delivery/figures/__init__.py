"""Figures: each is laid out by a pure function, then drawn as text or as SVG."""
