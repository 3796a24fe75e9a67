"""Which seeds may be looked at while something is tuned, and which are kept for the one score that is reported."""

from typing import Final

TUNING: Final = range(100_000)
"""Look at these as often as you like: every threshold of a detector is found with them."""

# A scoring seed is used ONCE, for a score that is reported. Whoever looks into such a log, or changes a threshold after
# a score, has made its seeds into tuning seeds and takes a range that nobody has used: write here which were spent.
# Spent so far: none.
SCORING: Final = range(1_000_000, 2_000_000)

BENCH: Final = range(9_000_000, 9_001_000)
"""For measurements of speed and memory, where the answer does not count."""
