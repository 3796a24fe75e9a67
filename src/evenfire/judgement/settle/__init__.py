"""Choose settings for all controls together: every dial position tried, one mask for each demand."""
