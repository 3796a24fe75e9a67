"""Is it right, what should be done, why not: outcomes, rules, margins, settle."""
